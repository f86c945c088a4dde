"""A page of sections without an answer in it: closed like the report, for briefs and tables."""

from __future__ import annotations

from collections.abc import Sequence

from packcheck.files.replacing import PAGE_MARK
from packcheck.render.drawing.ink import HATCHES
from packcheck.render.html.element import Markup, drawn, element
from packcheck.render.html.look import script, style
from packcheck.render.html.page import policy


def closed_page(title: str, sections: Sequence[Markup], *, version: str) -> str:
    """Return one file that asks for nothing from outside, with a title and its sections."""
    rules = style()
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
    main = element("main", sections, class_="body", id="main", tabindex=-1)
    top = element("header", element("div", element("h1", title), class_="verdict"), class_="head")
    body = element("body", hatches, top, main, element("script", drawn(script())))
    return f"<!DOCTYPE html>\n{element('html', head, body, lang='en')}\n"
