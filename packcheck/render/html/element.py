"""HTML that cannot be broken by what it quotes: every text is escaped where it becomes part of an element."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache
from html import escape
from typing import TypeAlias

from packcheck.render.page import printable, unbroken

EMPTY = frozenset({"meta", "br", "hr", "link", "input"})
"""Elements that have no content and no end tag."""
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9-]*\Z")


class Markup(str):
    """Text that is HTML already: only ``element``, ``joined`` and ``drawn`` make it."""

    __slots__ = ()


Child: TypeAlias = "str | Iterable[Child] | None"
"""What an element holds: texts, which are escaped; elements; nothing; or several of these."""


def element(name: str, /, *children: Child, **attributes: str | bool | int | None) -> Markup:
    """Return an element that holds its children in their order.

    ``class_`` stands for class and ``aria_label`` for aria-label; None and False leave an attribute out, True has no
    value.

    Examples
    --------
    >>> element("p", "a < b", element("b", "!"), class_="note", hidden=True)
    '<p class="note" hidden>a &lt; b<b>!</b></p>'
    """
    begin = f"<{name}{''.join(_attribute(key, value) for key, value in attributes.items())}>"
    if name in EMPTY:
        return Markup(begin)
    return Markup(f"{begin}{joined(children)}</{name}>")


def joined(children: Child, between: str = "") -> Markup:
    """Return texts and elements one behind the other."""
    pieces: list[str] = []
    _gather(children, pieces)
    return Markup(between.join(pieces))


def said(text: str) -> Markup:
    """Return a sentence of ours, what stands in `grave accents` as code."""
    pieces = text.split("`")
    if len(pieces) % 2 == 0:
        return joined(text)
    return joined(element("code", piece) if i % 2 else piece for i, piece in enumerate(pieces))


def drawn(svg: str) -> Markup:
    """Take shapes of the drawing in, whose texts were escaped where they were drawn."""
    return Markup(svg)


def _gather(child: Child, pieces: list[str]) -> None:
    if isinstance(child, Markup):
        pieces.append(child)
    elif isinstance(child, str):
        pieces.append(escape(unbroken(printable(child)), quote=False))
    elif child is not None:
        for one in child:
            _gather(one, pieces)


@lru_cache(maxsize=2048, typed=True)
def _attribute(key: str, value: str | bool | int | None) -> str:
    name = key.rstrip("_").replace("_", "-")
    if not _NAME.match(name) or name.startswith("on") or name == "style":
        raise ValueError(f"no attribute of ours: {name}")
    if value is None or value is False:
        return ""
    return f" {name}" if value is True else f' {name}="{escape(printable(str(value)), quote=True)}"'
