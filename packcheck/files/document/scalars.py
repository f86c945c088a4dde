"""What an unquoted word in a file is: nothing, true, false, an exact number, or text; what misleads is refused."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import islice

_MOST_DIGITS = 40
_WORDS: dict[str, bool | None] = {"": None, "~": None, "null": None, "true": True, "false": False}
_NUMBER_START = frozenset("+-.0123456789\u2212iInN")
_CURLY = frozenset("“”„‟‘’‚‛«»")
_INTEGER = re.compile(r"[+-]?(?:0|[1-9][0-9]*)")
_DECIMAL = re.compile(r"[+-]?(?:0|[1-9][0-9]*)\.[0-9]+")
_LEADING_ZERO = re.compile(r"[+-]?0[0-9]+(?:\.[0-9]+)?")
_EXPONENT = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)[eE][+-]?[0-9]+")
_OPEN_POINT = re.compile(r"[+-]?(?:[0-9]+\.|\.[0-9]+)")
_NO_NUMBER = re.compile(r"[+-]?\.?(?:inf|infinity)|\.?nan", re.IGNORECASE)
MOST_SIGNS = 10
"""How many characters that nobody can see are told of."""
_UNPRINTABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f"  # control characters, save tab and line ends
    "\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u2064\u2066-\u206f\ufeff\ufff9-\uffff"  # zero width, direction, line signs
    "\ud800-\udfff]"  # half characters
)

Scalar = bool | int | Decimal | str | None


class ScalarProblem(ValueError):
    """An unquoted word that could be read in two ways: what was found, what was needed, what to do."""

    def __init__(self, found: str, needed: str, do: str) -> None:
        self.found, self.needed, self.do = found, needed, do
        super().__init__(found)


def read_scalar(text: str) -> Scalar:
    """Return the value of an unquoted scalar.

    Empty, ``~`` and ``null`` are None; ``true`` and ``false`` are flags; plain digits are an int, with a point a
    Decimal that keeps the digits as written.  All else is text: ``no``, ``12:30``, ``2026-10-05``, ``1_000`` too.

    Raises
    ------
    ScalarProblem : a leading zero, a power of ten, ``.5`` or ``5.``, infinity and not-a-number, too many digits.
    """
    if text in _WORDS:
        return _WORDS[text]
    if text[0] not in _NUMBER_START:
        if text[0] in _CURLY and text[-1] in _CURLY and len(text) > 1:
            inner = text[1:-1]
            found, needed = f"{text}, in quotation marks of print", "straight quotation marks, or none"
            raise ScalarProblem(found, needed, f'write {inner}, or "{inner}"')
        return text
    number = text.replace("\u2212", "-", 1) if text[0] == "\u2212" else text
    if len(number) > _MOST_DIGITS and (_INTEGER.fullmatch(number) or _DECIMAL.fullmatch(number)):
        raise ScalarProblem(
            f"a number of {len(number)} characters", f"at most {_MOST_DIGITS} characters", "put quotes around a name"
        )
    if _INTEGER.fullmatch(number):
        return int(number)
    if _DECIMAL.fullmatch(number):
        return Decimal(number)
    _refuse_treacherous(text, number)
    return text


def _refuse_treacherous(text: str, number: str) -> None:
    """Raise when other readers of the file could take this word for another number than a person would."""
    name = f'"{text}" if it is a name'
    if _LEADING_ZERO.fullmatch(number):
        plain = re.sub(r"^([+-]?)0+(?=[0-9])", r"\1", number)
        raise ScalarProblem(
            f"{text}, a number with a leading zero",
            "a number without leading zeros, or a name in quotes",
            f"write {plain} if it is a number, {name}",
        )
    if _EXPONENT.fullmatch(number):
        raise ScalarProblem(
            f"{text}, a power of ten",
            "a number in plain digits, or a name in quotes",
            f"write {_plain(number)} if it is a number, {name}",
        )
    if _OPEN_POINT.fullmatch(number):
        raise ScalarProblem(
            f"{text}, a decimal point without digits on both sides",
            "digits on both sides of the point",
            f"write {_plain(number.rstrip('.'))} if it is a number, {name}",
        )
    if _NO_NUMBER.fullmatch(number):
        raise ScalarProblem(f"{text}, which is no number", "a number, or a name in quotes", f"write {name}")


def _plain(number: str) -> str:
    value = Decimal(number)
    return f"{value:f}" if -15 <= value.adjusted() <= 15 and len(number) <= _MOST_DIGITS else "the plain digits"


def unprintable(text: str, start: int = 0) -> str:
    """Return the first character of the text that a reader cannot see, as ``U+200B``, or an empty text."""
    match = _UNPRINTABLE.search(text, start)
    return f"U+{ord(match[0]):04X}" if match else ""


def unprintable_places(text: str) -> list[int]:
    """Return the indexes of the first such characters."""
    return [match.start() for match in islice(_UNPRINTABLE.finditer(text), MOST_SIGNS)]
