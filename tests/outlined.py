"""A page or a drawing as lines that a person reads in a difference: what stands in it, in its order.

Hashes, the version, and how often each rule was met are left out: they change with every rule that is added.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from xml.etree.ElementTree import Element

import html5lib

MASKS = (
    (re.compile(r"\b[0-9a-f]{64}\b"), "<hash>"),
    (re.compile(r"\b\d+ files(?=, SHA)"), "<number> files"),
    (re.compile(r"\b\d+\.\d+\.\d+(\.dev\d+)?\b(?= |$)"), "<version>"),
)
INLINE = frozenset({"a", "b", "code", "span", "em", "strong", "small", "summary", "br"})
ENDS = frozenset({"script", "style", "defs", "meta"})


def outline(markup: str) -> str:
    """Return what a page or an SVG document says, a line for each paragraph, row, heading and part of a drawing."""
    root = html5lib.parse(markup, treebuilder="etree", namespaceHTMLElements=False)
    return "".join(f"{line}\n" for line in _lines(root, 0))


def _lines(element: Element, depth: int) -> Iterator[str]:
    tag = element.tag.rpartition("}")[2] if isinstance(element.tag, str) else ""
    kinds = (element.get("class") or "").split()
    if not tag or tag in ENDS or "hatches" in kinds:
        return
    if "narrow" in kinds or (tag == "details" and "screen" in kinds):
        yield f"{'  ' * depth}[{tag} {' '.join(kinds)}: left out]"
        return
    indent = "  " * depth
    if tag == "tr":
        yield indent + " | ".join(filter(None, (_said(cell) for cell in element)))
    elif tag == "svg":
        yield from _drawing(element, indent)
    elif _is_text(element):
        if words := _said(element):
            yield f"{indent}{_mark(tag)}{words}"
    else:
        deeper = tag in ("section", "details", "figure", "aside", "table", "ol", "ul")
        if deeper:
            yield f"{indent}[{' '.join(filter(None, (tag, element.get('id'), element.get('class'))))}]"
        for child in element:
            yield from _lines(child, depth + deeper)


def _drawing(svg: Element, indent: str) -> Iterator[str]:
    """Yield the parts of a drawing by their titles, and how many texts and shapes it has beside them."""
    yield f"{indent}[drawing: {_masked(svg.get('aria-label') or '')}]"
    for group in svg.iter():
        if group.get("data-part"):
            title = next((one.text or "" for one in group if str(one.tag).endswith("title")), "")
            yield f"{indent}  {group.get('class')} {group.get('data-part')}: {_masked(title)}"
    texts = [_masked("".join(one.itertext())) for one in svg.iter() if str(one.tag).rpartition("}")[2] == "text"]
    for start in range(0, len(texts), 12):
        yield f"{indent}  written: {' / '.join(texts[start : start + 12])}"


def _is_text(element: Element) -> bool:
    """Return whether nothing but words stands in an element."""
    return all(str(child.tag).rpartition("}")[2] in INLINE and _is_text(child) for child in element)


def _mark(tag: str) -> str:
    return {"h1": "# ", "h2": "## ", "h3": "### ", "li": "- ", "dt": "", "summary": "> "}.get(tag, "")


def _said(element: Element) -> str:
    return _masked(" ".join("".join(_words(element)).split()))


def _words(element: Element) -> Iterator[str]:
    """Yield the words of an element; a drawing among them by its label, a link with where it leads."""
    tag = str(element.tag).rpartition("}")[2]
    if tag == "svg":
        yield f"({element.get('aria-label') or 'drawing'})"
        return
    yield element.text or ""
    for child in element:
        yield from _words(child)
        yield child.tail or " "
    href = element.get("href", "")
    if tag == "a" and not href.startswith("data:"):
        yield f" ->{href} "


def _masked(words: str) -> str:
    for pattern, mask in MASKS:
        words = pattern.sub(mask, words)
    return words
