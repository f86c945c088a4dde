"""How a finding is said in the workshop: plain names for faults, ranges that can be read aloud, one headline each."""

from __future__ import annotations

import re
from collections.abc import Iterable

from packcheck.files.name_lists import compress_names, natural_key
from packcheck.judging.report import Paragraph
from packcheck.render.page import plural
from packcheck.rules.findings import Finding, Outcome

MOST_IN_FULL = 12
"""How many names stand one by one before they are written as ranges."""
_END = r"[\w./+−#-]*[\w+−-]"
_RANGE = re.compile(
    rf"(?P<range>(?P<first>{_END}(?: to {_END})?)\.\.(?P<last>{_END}(?: to {_END})?))(?: by (?P<step>\d+))?"
)
_FIRST_NUMBER = re.compile(r"\d+")
NOT_RECORDED = "not recorded"
_READS_NOTHING = "a reading that proves nothing"


def number_of(pack: str) -> str:
    """Return the number of a pack, or that it has none: a blank record does not know its pack yet."""
    return pack or "without a number"


def fault_words(rule: str) -> str:
    """Return the fault a rule is named after, in words.

    Examples
    --------
    >>> fault_words("joint-torque-high")
    'joint torque high'
    """
    return rule.replace("-", " ")


def spoken(text: str) -> str:
    """Return a text with its ranges as people write them on paper.

    Examples
    --------
    >>> spoken("P01..P24"), spoken("B01..B23 by 2 lie bare")
    ('P01 … P24', 'B01, B03 … B23 lie bare')
    >>> spoken("B01 to B03..B09 to B11 by 2")
    'B01 to B03, B03 to B05 … B09 to B11'
    """
    return _RANGE.sub(_spoken_range, text) if ".." in text else text


def places_in_words(names: Iterable[str], in_full: int = MOST_IN_FULL) -> str:
    """Return names as one list, none left out: one by one while they are few, else as ranges.

    Examples
    --------
    >>> places_in_words(["P03", "P01", "P02"])
    'P01, P02, P03'
    >>> places_in_words([f"B{n:02d}" for n in range(1, 24, 2)], in_full=3)
    'B01, B03 … B23'
    """
    known = sorted(set(names), key=lambda name: (natural_key(name), name))
    words = known if len(known) <= in_full else [spoken(word) for word in compress_names(known)]
    between = "; " if len(words) > 1 and any(", " in word for word in words) else ", "
    return between.join(words)


def headline(paragraph: Paragraph, most: int = 160) -> str:
    """Return in one sentence what is wrong, or what nobody can tell, and where; of many alike, what they share."""
    findings = paragraph.findings
    if paragraph.outcome is Outcome.UNPROVEN:
        return _open_headline(paragraph)
    each = [found_words(finding) for finding in findings]
    if len(findings) == 1 or (len(findings) <= 3 and len("; ".join(each)) <= most):
        return "; ".join(each)
    words = fault_words(paragraph.rule)
    if paragraph.outcome is Outcome.UNDECIDED:
        words = f"reading too coarse to decide ({words})"
    return f"{words}, {plural(len(findings), paragraph.noun)}: {places_in_words(paragraph.places)}"


def headline_under(paragraph: Paragraph) -> str:
    """Return the headline as it stands under a heading that says what was not recorded."""
    return headline(paragraph).removeprefix(f"{NOT_RECORDED}: ")


def found_words(finding: Finding) -> str:
    """Return what was found, with the name of what it was found at."""
    found = spoken(finding.found)
    return found if finding.subject in finding.found or finding.place in finding.found else f"{_name(finding)}: {found}"


def _name(finding: Finding) -> str:
    return spoken(finding.subject)


def _open_headline(paragraph: Paragraph) -> str:
    findings = paragraph.findings
    asked = ", ".join(dict.fromkeys(datum.what for finding in findings for datum in finding.data))
    useless = next((f for f in findings if f.found.startswith(_READS_NOTHING)), None)
    if useless is not None and len(findings) == 1:
        return f"{_name(useless)}: {spoken(useless.found)}"
    words = asked or fault_words(paragraph.rule)
    told = "what was read proves nothing" if useless is not None else NOT_RECORDED
    if len(findings) == 1:
        return f"{told}: {words}, {_name(findings[0])}"
    return f"{told}: {words}, {plural(len(findings), paragraph.noun)}: {places_in_words(paragraph.places)}"


def _spoken_range(match: re.Match[str]) -> str:
    first, last = match["first"], match["last"]
    if not match["step"]:
        return f"{first} … {last}"
    return f"{first}, {_second(first, last, int(match['step']))} … {last}"


def _second(first: str, last: str, step: int) -> str:
    """Return the name after the first of a range: every number that differs in the last one counts on."""
    ends = [_FIRST_NUMBER.findall(text) for text in (first, last)]
    if len(ends[0]) != len(ends[1]):
        return first
    counting = iter([a != b for a, b in zip(*ends, strict=True)])

    def next_number(match: re.Match[str]) -> str:
        return f"{int(match[0]) + step:0{len(match[0])}d}" if next(counting) else match[0]

    return _FIRST_NUMBER.sub(next_number, first)
