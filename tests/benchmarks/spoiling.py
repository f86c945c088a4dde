"""Ways to spoil a file: bytes, lines, words, names, numbers, brackets and branches, a few of them at a time."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import Any

from benchmarks.files_to_spoil import Seed
from workshop import to_yaml

from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems

NASTY = (
    "", "~", "null", "none", "true", "no", "0", "-1", "1e999", "NaN", "-inf", "0x10", "010", "1.", ".5", "9" * 45,
    "999999999", "0.0000001", "-7.5 V", "0 V", "0 mm", "0 Ω", "7.5", "7,5 V", "5 V", "5 N·m", "40 in-lb", "5 to 4 N·m",
    "1 V to 2 V", "at least 5 V", "at most 0 A", "3 V ± 200 %", "0.03 %", "100 %", "[]", "{}", "[[]]", "[none]",
    "{a: 1}", "[1, 2, 3]", "as drawn", "not fitted", "loose", "P01", "P01.A", "P01..P24", "P24..P01", "P01..P99999",
    "P01..Q24", "P..", "..", ".", "/", "B01/P01", "B01", "SD", "SD.1", "K1", "main+", "V1", "T00", "T01..T06",
    "P02.B..P12.B by 0", "2026-10-05", "2026-13-40", "0001-01-01", "9999-12-31 23:59", "&a x", "*a", "!!python/none x",
    "<<", "? x", "- x", "|", ">", "%", "@x", "`x`", "'", '"', "# x", "\t", "\u200b", "\ufeff", "Ω", "é", "日", "\u202e",
    "x" * 300, "{{", "}}", "{x}", "{0.__class__}", "a.b", "__import__('os')", "a < b < c", "1 / 0", "not", "and", "()",
    "lambda: 0", "torque_n_m", "min()", "abs(-1)", "'; DROP TABLE joint; --", "\\", "\0", "\x1b[31m", "🔋", "1 Ω/V",
)  # fmt: skip
_TOKEN = re.compile(r"[^\s,:\[\]{}#]+(?:\.[^\s,:\[\]{}#]+)*")
_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_KEY = re.compile(r"[^\s,:\[\]{}#][^,:\[\]{}#\n]*(?=:(?:\s|$))", re.MULTILINE)


def mutate(seed: Seed, dice: random.Random) -> bytes:
    """Return the file with one to four things changed."""
    content: bytes | str = seed.text
    for _ in range(dice.choice((1, 1, 1, 1, 1, 1, 2, 2, 3, 4))):
        if isinstance(content, bytes):
            content = flip_bytes(content, dice)
        else:
            content = dice.choices(MUTATIONS, WEIGHTS)[0](content, dice)
    return content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass")


def flip_bytes(content: bytes | str, dice: random.Random) -> bytes:
    """Change some bytes, so that the file may be no text any more."""
    raw = bytearray(content if isinstance(content, bytes) else content.encode("utf-8", "surrogatepass"))
    for _ in range(dice.randint(1, 3)):
        if raw:
            raw[dice.randrange(len(raw))] ^= 1 << dice.randrange(8)
    return bytes(raw)


def change_lines(text: str, dice: random.Random) -> str:
    """Leave a line out, write one twice, or exchange two."""
    lines = text.splitlines(keepends=True) or [""]
    one, other = dice.randrange(len(lines)), dice.randrange(len(lines))
    match dice.randrange(3):
        case 0:
            del lines[one]
        case 1:
            lines.insert(other, lines[one])
        case _:
            lines[one], lines[other] = lines[other], lines[one]
    return "".join(lines)


def replace_token(text: str, dice: random.Random) -> str:
    """Put something nasty in the place of a word, or of a whole value."""
    return _put(text, _TOKEN, dice, lambda _: dice.choice(NASTY))


def exchange_tokens(text: str, dice: random.Random) -> str:
    """Put another word of the same file in the place of a word."""
    words = _TOKEN.findall(text)
    return _put(text, _TOKEN, dice, lambda _: dice.choice(words)) if words else text


def exchange_alike(text: str, dice: random.Random) -> str:
    """Put a word of the same shape in the place of a word: a name for a name, a number for a number."""
    alike: dict[str, set[str]] = {}
    for word in _TOKEN.findall(text):
        alike.setdefault(_shape(word), set()).add(word)
    return _put(text, _TOKEN, dice, lambda word: dice.choice(sorted(alike[_shape(word)])))


def _shape(word: str) -> str:
    return re.sub(r"[a-z]+", "a", re.sub(r"[A-Z]+", "A", re.sub(r"\d+", "0", word)))


def rename_key(text: str, dice: random.Random) -> str:
    """Misspell a name before a colon, or give it the name of another."""
    names = _KEY.findall(text)

    def renamed(name: str) -> str:
        return dice.choice(names) if dice.random() < 0.5 else _misspelt(name, dice)

    return _put(text, _KEY, dice, renamed)


def change_number(text: str, dice: random.Random) -> str:
    """Make a number larger, smaller, negative, zero or odd."""
    return _put(text, _NUMBER, dice, lambda n: dice.choice(
        (f"{n}0", f"{n}1", f"{n}2", f"{n}.5", f"-{n}", "0", "1", f"0{n}", f"{n}e3", n[:-1], f"{n},{n}",
         str(dice.randint(0, 200)))
    ))  # fmt: skip


def nest(text: str, dice: random.Random) -> str:
    """Put brackets around a word, a few or thousands."""
    depth = dice.choice((1, 2, 3, 49, 51, 2000))
    opening, closing = dice.choice((("[", "]"), ("{a: ", "}"), ("(", ")"), ("- ", "")))
    return _put(text, _TOKEN, dice, lambda word: opening * depth + word + closing * depth)


def truncate(text: str, dice: random.Random) -> str:
    """Keep only the beginning, or only the end."""
    at = dice.randrange(len(text) + 1)
    return text[:at] if dice.random() < 0.8 else text[at:]


def insert_sign(text: str, dice: random.Random) -> str:
    """Put a sign somewhere: white space, punctuation, something invisible or foreign."""
    at = dice.randrange(len(text) + 1)
    sign = dice.choice((*"\t \n\r:,[]{}#&*!|>'\"%@`?-~.\\", "\u00a0", "\u2028", "\u0301", "Ω", "\u2126", "\U0001f50b",
                        chr(dice.randrange(1, 0xD7FF)), "\ud800"))  # fmt: skip
    return text[:at] + sign + text[at:]


def move_branch(text: str, dice: random.Random) -> str:
    """Take the file's data apart and put something in, out or elsewhere, so that it can still be read as YAML."""
    root = _data(text)
    if root is None:
        return replace_token(text, dice)
    branches = list(_branches(root))
    holder, key = dice.choice(branches)
    other_holder, other_key = dice.choice(branches)
    match dice.randrange(5):
        case 0:
            del holder[key]
        case 1:
            holder[key] = other_holder[other_key] if not isinstance(other_holder[other_key], dict | list) else "x"
        case 2:
            holder[key] = [holder[key]] if dice.random() < 0.5 else {"x": holder[key]}
        case 3 if isinstance(holder, dict):
            holder[_misspelt(str(key), dice)] = holder.pop(key)
        case _:
            holder[key] = dice.choice((None, True, 0, -5, "", [], {}, *NASTY))
    return str(to_yaml(root))


def _data(text: str) -> Any:
    parsed = _parsed(text)
    return None if parsed is None else _copied(parsed)


@lru_cache(maxsize=200)
def _parsed(text: str) -> Any:
    try:
        return parse_document(text, "").root
    except InputProblems:
        return None


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(item) for key, item in value.items()}
    return [_copied(item) for item in value] if isinstance(value, list) else value


MUTATIONS: tuple[Callable[[str, random.Random], str | bytes], ...] = (
    flip_bytes, change_lines, replace_token, exchange_tokens, exchange_alike, rename_key, change_number, nest, truncate,
    insert_sign, move_branch,
)  # fmt: skip
WEIGHTS = (3, 12, 12, 8, 30, 5, 14, 2, 2, 4, 18)


def _put(text: str, pattern: re.Pattern[str], dice: random.Random, new: Callable[[str], str]) -> str:
    matches = list(pattern.finditer(text))
    if not matches:
        return text
    match = dice.choice(matches)
    return text[: match.start()] + new(match[0]) + text[match.end() :]


def _misspelt(name: str, dice: random.Random) -> str:
    at = dice.randrange(len(name) + 1)
    return dice.choice((name[:at] + name[at + 1 :], name[:at] + "x" + name[at:], name.upper(), name + " ", f"{name}-2"))


def _branches(root: Any) -> Iterator[tuple[Any, Any]]:
    todo = [root]
    while todo:
        holder = todo.pop()
        for key in list(holder) if isinstance(holder, dict) else range(len(holder)):
            yield holder, key
            if isinstance(holder[key], dict | list):
                todo.append(holder[key])
