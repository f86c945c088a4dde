"""Text as XML holds it.  The standard library's own helpers import a web client, which costs more than a drawing."""

from __future__ import annotations

_QUOTED = {'"': "&quot;", "\n": "&#10;", "\r": "&#13;", "\t": "&#9;"}


def escape(text: str) -> str:
    """Return a text as the content of an element.

    Examples
    --------
    >>> escape("a < b & c")
    'a &lt; b &amp; c'
    """
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def quoted(text: str) -> str:
    """Return a text as the value of an attribute, with its quotes.

    Examples
    --------
    >>> quoted('say "2"')
    '"say &quot;2&quot;"'
    """
    plain = escape(text)
    for sign, written in _QUOTED.items():
        plain = plain.replace(sign, written)
    return f'"{plain}"'
