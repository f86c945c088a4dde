"""A closed page: one file that asks for nothing from outside, and says so to the browser; its look and its script.

Every colour of type stands on grounds on which it reads at 4.5 to 1 or more (WCAG 2.2, clause 1.4.3), edges that mean
something at 3 to 1 (clause 1.4.11); a test reckons both.
"""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Sequence
from functools import cache
from hashlib import sha256
from pathlib import Path

from packcheck.files.whole_file import PAGE_MARK
from packcheck.render.drawing import ink
from packcheck.render.html.element import Child, Markup, drawn, element


def closed_page(title: str, *parts: Child, version: str, more_style: str = "") -> str:
    """Return the file of a page with a title and its parts in order; ``more_style`` is that of this page alone."""
    rules = style() + more_style
    head = element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy(rules)),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="color-scheme", content="light dark"),
        element("meta", name="referrer", content="no-referrer"),
        element("meta", name="generator", content=f"{PAGE_MARK}{version}"),
        element("title", f"packcheck: {title}"),
        element("style", drawn(rules)),
    )
    hatches = element("svg", element("defs", drawn(ink.HATCHES)), width=0, height=0, aria_hidden="true",
                      class_="hatches", focusable="false")  # fmt: skip
    body = element("body", hatches, *parts, element("script", drawn(script())))
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n"


def page_of_sections(title: str, sections: Sequence[Markup], *, version: str, more_style: str = "") -> str:
    """Return the file of a page without an answer in it: its title and its sections, for briefs and tables."""
    top = element("header", element("div", element("h1", title), class_="verdict"), class_="head")
    main = element("main", sections, class_="body", id="main", tabindex=-1)
    return closed_page(title, top, main, version=version, more_style=more_style)


def policy(rules: str) -> str:
    """Return what a page allows its browser: its own style and script by their hashes, and nothing else."""
    hashes = [b64encode(sha256(text.encode()).digest()).decode() for text in (rules, script())]
    return (
        f"default-src 'none'; style-src 'sha256-{hashes[0]}'; script-src 'sha256-{hashes[1]}';"
        " base-uri 'none'; form-action 'none'"
    )


LIGHT = {
    "paper": "#ffffff", "ground": "#eef0f3", "ink": "#16181d", "faint": "#4b5563", "edge": "#767e8a", "hair": "#d5d9df",
    "stop": "#9b1c1c", "fix": "#7a3e00", "open": "#1d3f8f", "advice": "#3d4653", "fine": "#14532d", "link": "#0b4f8a",
    "on-mark": "#ffffff", "tint": "#f6f7f9", "band": "#cfe6d4", "lit": "#fff3c4",
}  # fmt: skip
DARK = {
    "paper": "#15181d", "ground": "#0b0d10", "ink": "#e8eaee", "faint": "#aab2bf", "edge": "#7d8795", "hair": "#343a44",
    "stop": "#ff9c94", "fix": "#f4b26a", "open": "#9fbcff", "advice": "#c3cad5", "fine": "#86d69b", "link": "#8fc6ff",
    "on-mark": "#0b0d10", "tint": "#1c2027", "band": "#1f4a2b", "lit": "#4a3f12",
}  # fmt: skip
TYPE_ON = {
    "ink": ("paper", "ground", "tint", "lit", "band"),
    "faint": ("paper", "ground", "tint", "lit"),
    "stop": ("paper", "tint", "lit"),
    "fix": ("paper", "tint", "lit"),
    "open": ("paper", "tint", "lit"),
    "advice": ("paper", "tint", "lit"),
    "fine": ("paper", "tint"),
    "link": ("paper", "ground", "tint", "lit"),
    "on-mark": ("stop", "fix", "open", "advice", "fine"),
}
"""Which colours of type stand on which grounds."""
EDGE_ON = {"edge": ("paper", "ground", "tint"), "ink": ("band",), "stop": ("paper",), "fine": ("paper",)}
"""Which edges that mean something stand on which grounds."""

_FOLDER = Path(__file__).parent


@cache
def style() -> str:
    """Return the style of the page and of the drawings in it."""
    return "".join([
        f":root{{color-scheme:light dark;{_variables(LIGHT)}}}",
        _squeezed((_FOLDER / "page.css").read_text(encoding="utf-8")),
        _scoped(ink.STYLE),
        f"@media screen and (prefers-color-scheme:dark){{:root{{{_variables(DARK)}}}",
        _scoped(ink.in_dark(ink.STYLE)),
        _dark_hatches(),
        "}",
    ])  # fmt: skip


@cache
def script() -> str:
    """Return the script of the page, which folds and does nothing else: without it everything can be read."""
    return _squeezed((_FOLDER / "page.js").read_text(encoding="utf-8"))


def _squeezed(text: str) -> str:
    """Return a text without comments and line ends."""
    plain = re.sub(r"/\*.*?\*/", "", text, flags=re.DOTALL)
    return " ".join(plain.split())


def _variables(colours: dict[str, str]) -> str:
    return "".join(f"--{name}:{colour};" for name, colour in colours.items())


def _scoped(rules: str) -> str:
    """Return the rules of a drawing so that they hold inside drawings alone."""
    return re.sub(r"([^{}]+)(\{[^}]*\})", lambda m: _under_drawing(m[1]) + m[2], rules)


def _under_drawing(selectors: str) -> str:
    return ",".join(f".drawing {selector}" for selector in selectors.split(","))


def _dark_hatches() -> str:
    """Return the colours of hatches in the dark; those of the drawing stand in the shapes."""
    white, black = ink.in_dark("#fff"), ink.in_dark("#000")
    return (
        f"#hatch rect,#open rect{{fill:{white}}}#hatch line{{stroke:{black}}}"
        f"#open line{{stroke:{ink.in_dark(ink.METAL)}}}"
    )
