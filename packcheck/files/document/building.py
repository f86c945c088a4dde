"""Parser events -> marked data, without recursion, and every problem found on the way."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import yaml

from packcheck.files.document.marked import MarkedMapping, MarkedSequence, located_problem
from packcheck.files.document.scalars import ScalarProblem, read_scalar, unprintable
from packcheck.files.origin import Origin, in_text
from packcheck.files.problems import Problem

DEEPEST = 50
MOST_PIECES = 700_000
"""The most names, values, lists and mappings of one file; the record of 10,000 modules has about half of it."""
_MOST_PROBLEMS = 200

_ABSENT = object()
_SCALAR, _MAPPING, _SEQUENCE = yaml.ScalarEvent, yaml.MappingStartEvent, yaml.SequenceStartEvent
_MAPPING_END, _SEQUENCE_END = yaml.MappingEndEvent, yaml.SequenceEndEvent


class TooManyProblems(Exception):
    """Reading on would not help: nested too deeply, a second document, or two hundred problems."""


class Builder:
    """Takes parser events one by one and builds the data they describe.

    ``root`` is the first document's content, ``problems`` what is wrong with it.
    """

    def __init__(self, file: str, lines: Sequence[str]) -> None:
        self.file = file
        self.lines = lines
        self.problems: list[Problem] = []
        self.root: Any = _ABSENT
        self._documents = 0
        self._known_words: dict[str, Any] = {}
        self._labels: set[str] = set()

    @property
    def is_empty(self) -> bool:
        """Tell whether the file held nothing but comments."""
        return self.root is _ABSENT or self.root is None

    def build(self, parser: Any) -> None:
        """Read all events of a parser; raises what the parser raises, and TooManyProblems."""
        # One loop with everything at hand: it runs for each of several hundred thousand events of a large record.
        next_event, new_mark, file = parser.get_event, tuple.__new__, self.file
        known_words = self._known_words
        opened: list[tuple[Any, Any]] = []  # what is being filled further out
        here: Any = None  # the mapping or list that is being filled
        key: Any = _ABSENT  # the key that waits for its value
        left = MOST_PIECES
        while True:
            event = next_event()
            kind = event.__class__
            left -= 1
            if not left:
                self._refuse_size(self._mark_of(event))
            if kind is _SCALAR:
                start = event.start_mark
                mark = new_mark(Origin, (file, "", start.line + 1, start.column + 1, ""))
                value: Any = event.value
                style = event.style
                if not style:
                    word = known_words.get(value, _ABSENT)
                    value = self._plain(value, mark) if word is _ABSENT else word
                elif style == '"' and not value.isprintable():
                    self._check_escapes(value, mark)
                if event.anchor is not None or event.tag is not None:
                    self._refuse_extras(event, mark)
            elif kind is _MAPPING or kind is _SEQUENCE:
                start = event.start_mark
                mark = new_mark(Origin, (file, "", start.line + 1, start.column + 1, ""))
                if event.anchor is not None or event.tag is not None:
                    self._refuse_extras(event, mark)
                if len(opened) >= DEEPEST:
                    self._refuse_depth(mark)
                opened.append((here, key))
                here = MarkedMapping(mark) if kind is _MAPPING else MarkedSequence(mark)
                key = _ABSENT
                continue
            elif kind is _MAPPING_END or kind is _SEQUENCE_END:
                value = here
                mark = value.mark
                here, key = opened.pop()
            elif kind is yaml.AliasEvent:
                mark = self._mark_of(event)
                self._refuse_reference(event.anchor, mark)
                value = None
            elif kind is yaml.StreamEndEvent:
                return
            else:
                self._check_document(event)
                continue
            # ``value`` is complete: put it where it belongs.
            if here is None:
                self.root = value
            elif here.__class__ is MarkedSequence:
                here.append(value)
                here.item_mark.append(mark)
            elif key is _ABSENT:
                key = value
                if value.__class__ is not str or value in here or value == "<<" or "\n" in value:
                    key = self._checked_key(here, value, event, mark)
                here.key_mark[key] = mark
            else:
                if value is None and ":" in key:
                    self._refuse_close_colon(key, here.key_mark[key])
                here[key] = value
                here.value_mark[key] = mark
                key = _ABSENT

    def _mark_of(self, event: Any) -> Origin:
        return in_text(self.file, event.start_mark.line + 1, event.start_mark.column + 1)

    def _plain(self, text: str, mark: Origin) -> Any:
        """Return the value of an unquoted word, and remember it: most words of a large record come again and again."""
        try:
            value = read_scalar(text)
        except ScalarProblem as wrong:
            self._report(mark, wrong.found, wrong.needed, wrong.do)
            return text
        self._known_words[text] = value
        return value

    def _checked_key(self, mapping: MarkedMapping, key: Any, event: Any, mark: Origin) -> Any:
        """Return the key to file the coming value under; a key that cannot stand gets a name of its own."""
        if not isinstance(key, str):
            self._refuse_key(key, event, mark)
            key = f"\0{mark.line}:{mark.column}"
        elif key in mapping:
            first = mapping.key_mark[key].line
            self._report(
                mark,
                f"{key!r} stands here a second time; the first is on line {first}",
                "each name once in one mapping",
                "rename one of them, or leave one out",
                "of two equal names only one would be kept",
            )
            key = f"\0{mark.line}:{mark.column}"
        elif key == "<<" and not event.style:
            self._report(mark, "<<, which merges another mapping in", *_WRITE_OUT)
        elif "\n" in key:
            self._report(mark, "a name that runs over several lines", "a name on one line", "write it on one line")
        return key

    def _refuse_key(self, key: Any, event: Any, mark: Origin) -> None:
        if isinstance(key, (dict, list)):
            self._report(mark, "a list or mapping in the place of a name", "a name", "write a text before the colon")
        elif key is None:
            self._report(mark, "a colon without a name before it", "a name, a colon, a value", "write the name")
        else:
            shown = event.value
            why = "true and false are no names" if isinstance(key, bool) else "a number is no name"
            do = f'put it in quotes: "{shown}"'
            if isinstance(key, bool):
                word = "on" if key else "off"
                do = f"write {word}, if a program that takes {word} for {shown} wrote the file; else {do}"
            self._report(mark, f"{shown} as a name", "a name that is text", do, why)

    def _refuse_close_colon(self, key: str, mark: Origin) -> None:
        """Refuse ``{x:1}``, which YAML takes for a name ``x:1`` without a value."""
        name, _, rest = key.partition(":")
        self._report(mark, f"{key!r} without a value", "a space after the colon", f"write {name}: {rest}")

    def _refuse_extras(self, event: Any, mark: Origin) -> None:
        if event.anchor is not None:
            self._report(mark, f"&{event.anchor}, a label for other places to refer to", *_WRITE_OUT)
        if event.tag is not None:
            self._report(
                mark,
                f"the type mark {event.tag.replace('tag:yaml.org,2002:', '!!')}",
                "a plain value; its kind follows from its place",
                "leave the type mark out, and put quotes around a text that begins with !",
            )

    def _refuse_reference(self, label: str, mark: Origin) -> None:
        """Refuse a reference, once for each label: a bomb of them is one mistake, not a thousand."""
        if label not in self._labels:
            self._labels.add(label)
            self._report(mark, f"*{label}, a reference to another place", *_WRITE_OUT)

    def _check_escapes(self, text: str, mark: Origin) -> None:
        sign = unprintable(text)
        if sign:
            self._report(mark, f"a text with the invisible character {sign} in it", "visible characters", "take it out")

    def _refuse_size(self, mark: Origin) -> None:
        found = f"more than {MOST_PIECES:,} names, values, lists and mappings"
        self._report(mark, found, "a file of one pack", "check that it is the right file")
        raise TooManyProblems

    def _refuse_depth(self, mark: Origin) -> None:
        found = f"more than {DEEPEST} lists or mappings inside each other"
        self._report(mark, found, f"at most {DEEPEST} levels", "look for a bracket that is opened again and again")
        raise TooManyProblems

    def _check_document(self, event: Any) -> None:
        if type(event) is not yaml.DocumentStartEvent:
            return
        self._documents += 1
        if self._documents > 1:
            self._report(
                self._mark_of(event),
                "a second document after ---",
                "one document in a file",
                "put it in a file of its own",
            )
            raise TooManyProblems

    def _report(self, mark: Origin, found: str, needed: str, do: str, why: str = "") -> None:
        self.problems.append(located_problem(self.lines, mark, found=found, needed=needed, why=why, do=do))
        if len(self.problems) >= _MOST_PROBLEMS:
            raise TooManyProblems


_WRITE_OUT = (
    "every value written where it belongs",
    "write the value out here; a text that begins with & or * needs quotes",
    "what is said in another place is easily changed by mistake",
)
