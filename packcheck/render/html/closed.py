"""A closed page: one file that asks for nothing from outside, and says so to the browser."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from hashlib import sha256

from packcheck.files.replacing import PAGE_MARK
from packcheck.render.drawing.ink import HATCHES
from packcheck.render.html.element import Child, Markup, drawn, element
from packcheck.render.html.look import script, style


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
    hatches = element("svg", element("defs", drawn(HATCHES)), width=0, height=0, aria_hidden="true", class_="hatches",
                      focusable="false")  # fmt: skip
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
