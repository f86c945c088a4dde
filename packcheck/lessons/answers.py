"""Answer sheets: blank ones, and what a trainee wrote into one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from packcheck.files.document import parse_document
from packcheck.files.problems import InputProblems, nearest_name
from packcheck.lessons.measurements import MEASUREMENTS
from packcheck.simulate.faults.fault import ADVISE, FIX, NEVER
from packcheck.simulate.faults.library import BY_NAME

WEIGHTS = (NEVER, FIX, ADVISE)
_BLANK = """\
# Answer to {case}.  Write what you would sign; leave none where you say nothing.
# A record with nothing wrong has no entry under found: write found: none.
answer: 1
case: {case}
by: none
found:                     # one entry for each fault; every entry too many costs points
  - what: none             # name of the cause, from the list on the brief
    where: none            # module, joint, tap, switch; as near as the readings allow; or whole pack
    number: none           # the number that shows it, as it stands in the record
    not: none              # the cause it is most easily taken for, and is not
    weight: none           # never energize, fix before release, or advise
energize: none             # yes or no: may it go on as it is?
next: none                 # the one measurement to take next, from the list on the brief
confidence: none           # how sure you are of what and where, 0 to 100
"""


_KEYS = ("answer", "case", "by", "found", "energize", "next", "confidence")
_OF_ENTRY = ("what", "where", "number", "not", "weight")


@dataclass(frozen=True)
class Said:
    """One thing that a trainee found; "" where nothing is said."""

    what: str = ""
    where: str = ""
    number: str = ""
    not_: str = ""
    weight: str = ""


@dataclass(frozen=True)
class Answer:
    """One answer sheet; ``confidence`` is from 0 to 1, None where none is given."""

    case: str
    by: str
    found: tuple[Said, ...]
    energize: bool | None
    next: str
    confidence: float | None


def blank_sheet(case: str) -> str:
    """Return a blank answer sheet."""
    return _BLANK.format(case=case)


def read_answer(content: bytes, name: str) -> Answer:
    """Return what an answer sheet says.

    Raises
    ------
    InputProblems : it is no answer sheet, or holds words that it has no list of.
    """
    document = parse_document(content, name)
    root = document.root
    wrong = []

    def note(path: tuple[str | int, ...], found: str, needed: str, near: str | None = None, key: bool = False) -> None:
        do = f"did you mean '{near}'?" if near else "write it as the brief has it"
        wrong.append(document.problem(path, key=key, found=found, needed=needed, do=do))

    if "answer" not in root or "case" not in root:
        note((), "no answer sheet", "`answer: 1` and `case:` on lines of their own")
        raise InputProblems(wrong)
    _known_keys(root, (), _KEYS, note)
    rows = root.get("found")
    if not isinstance(rows, list) and _text(rows):
        note(("found",), "no list of entries", "an entry for each fault behind a hyphen, `- what:`, or found: none")
    said = [_said(row, ("found", i), note) for i, row in enumerate(rows if isinstance(rows, list) else [])]
    energize, confidence = _text(root.get("energize")), _text(root.get("confidence")).rstrip(" %")
    if energize not in ("", "yes", "no", "True", "False", "true", "false"):
        note(("energize",), f"'{energize}'", "yes or no")
    next_ = _text(root.get("next"))
    if next_ and next_ not in MEASUREMENTS:
        note(("next",), f"'{next_}'", f"one of: {', '.join(MEASUREMENTS)}", nearest_name(next_, MEASUREMENTS))
    sure = _share(confidence)
    if confidence and sure is None:
        note(("confidence",), f"'{confidence}'", "a number from 0 to 100")
    if wrong:
        raise InputProblems(wrong)
    return Answer(
        case=_text(root["case"]), by=_text(root.get("by")) or "nobody named",
        found=tuple(one for one in said if one != Said()),
        energize=None if not energize else energize.lower() in ("yes", "true"), next=next_, confidence=sure,
    )  # fmt: skip


def _said(row: Any, path: tuple[str | int, ...], note: Any) -> Said:
    if not isinstance(row, Mapping):
        note(path, f"'{row}'", "what, where, number, not and weight")
        return Said()
    _known_keys(row, path, _OF_ENTRY, note)
    said = Said(*(_text(row.get(key)) for key in _OF_ENTRY))
    for key, word, known in (
        ("what", said.what, BY_NAME),
        ("not", said.not_, BY_NAME),
        ("weight", said.weight, WEIGHTS),
    ):
        if word and word not in known:
            needed = "one of: " + ", ".join(known) if key == "weight" else "a cause of the list"
            note((*path, key), f"'{word}'", needed, nearest_name(word, known))
    return said


def _known_keys(row: Mapping[Any, Any], path: tuple[str | int, ...], known: tuple[str, ...], note: Any) -> None:
    """Note a key that no answer sheet has: what stands behind it would not be marked."""
    for key in row:
        if key not in known:
            note(
                (*path, key),
                f"the name '{key}'",
                f"one of: {', '.join(known)}",
                nearest_name(str(key), known),
                key=True,
            )


def _text(value: Any) -> str:
    text = "" if value is None else str(value).strip()
    return "" if text.lower() == "none" else text


def _share(text: str) -> float | None:
    try:
        number = float(text)
    except ValueError:
        return None
    return number / 100 if 0 <= number <= 100 else None
