"""Put something into a YAML text and leave every other character of it as it is: comments, blank lines, order.

Each edit is checked before it is given back: the new text must read as the old data with exactly that change, else
``CannotEdit`` is raised and nothing has happened.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any, NamedTuple

import yaml

from packcheck.files.document.from_text import parse_document
from packcheck.files.document.marked import Document
from packcheck.files.document.yaml_text import flow, scalar
from packcheck.files.frozen import dataclass
from packcheck.files.problems import InputProblems

Path = tuple[str | int, ...]
INDENT = "  "
_BYTE_ORDER_MARK = "\ufeff"
_LINE_END = re.compile(r"\r\n|\r|\n")


class CannotEdit(ValueError):
    """A text into which something cannot be put without touching what stands there already; the words say why."""


class _Placed(NamedTuple):
    """A part of a text: its node, and what is added to where it stands to find it in the whole text."""

    node: Any
    shift: int


@dataclass(frozen=True)
class Editable:
    """A text and what it reads as; every edit gives another one."""

    text: str
    document: Document

    @classmethod
    def of(cls, content: bytes, name: str) -> Editable:
        """Return the text of a file that can be read.

        Raises
        ------
        InputProblems : it cannot.
        """
        return cls(content.decode("utf-8"), parse_document(content, name))

    @property
    def content(self) -> bytes:
        """Return the bytes of the text."""
        return self.text.encode("utf-8")

    def add_key(self, path: Path, key: str, value: Any) -> Editable:
        """Return the text with a key more at the end of the mapping at a path; the root is the path ``()``."""
        placed = self._placed(path, yaml.MappingNode)
        entry = f"{scalar(key)}: {flow(value)}"
        if placed.node.flow_style:
            new = self._into_flow(placed, entry)
        elif path:
            new = self._insert(self._line_after(placed), " " * placed.node.start_mark.column + entry + "\n")
        else:
            blank = "" if self.text.endswith(("\n\n", "\n\r\n")) or isinstance(value, str | int) else "\n"
            new = self._insert(len(self.text), blank + _section(key, value))
        return self._if_so(new, path, lambda here: {**here, key: value})

    def add_item(self, path: Path, value: Any) -> Editable:
        """Return the text with an item more at the end of the list at a path."""
        placed = self._placed(path, yaml.SequenceNode)
        if placed.node.flow_style:
            new = self._into_flow(placed, flow(value))
        else:
            new = self._insert(self._line_after(placed), f"{' ' * placed.node.start_mark.column}- {flow(value)}\n")
        return self._if_so(new, path, lambda here: [*here, value])

    def put_value(self, path: Path, value: Any) -> Editable:
        """Return the text with another value at a path, where a word stands, or a list or mapping in brackets."""
        node, shift = self._placed(path, yaml.Node)
        new = self._between(_in_a_line(node), node, shift, flow(value))
        *above, last = path
        return self._if_so(new, tuple(above), lambda here: _with(here, last, value))

    def split_key(self, path: Path, rows: Sequence[tuple[str, Any]]) -> Editable:
        """Return the text in which the entry at a path, of a mapping in lines, is several entries."""
        *above, name = path
        node, shift = self._placed(tuple(above), yaml.MappingNode)
        if node.flow_style:
            raise CannotEdit("its table stands in braces")
        key, value = next((key, value) for key, value in node.value if key.value == name)
        between = "\n" + " " * node.start_mark.column
        written = between.join(f"{scalar(one)}: {flow(told)}" for one, told in rows)
        new = self._between(key, _in_a_line(value), shift, written)
        kept = {one: told for one, told in self._at(tuple(above)).items() if one != name}
        return self._if_so(new, tuple(above), lambda _: {**kept, **dict(rows)})

    # where things stand

    def _at(self, path: Path) -> Any:
        here: Any = self.document.root
        for step in path:
            here = here[step]
        return here

    def _placed(self, path: Path, kind: type) -> _Placed:
        here, shift = self._section(str(path[0])) if path else self._composed(0, len(self.text))
        for step in path:
            if isinstance(here, yaml.MappingNode):
                here = next((value for key, value in here.value if key.value == step), None)
            else:
                here = here.value[step]
        if not isinstance(here, kind):
            raise CannotEdit(f"what stands under {path[-1] if path else 'it'} is something else")
        return _Placed(here, shift)

    def _section(self, name: str) -> _Placed:
        """Return a mapping with a section in it: of the section's own lines alone where these read by themselves."""
        begins = {key: mark.line for key, mark in self.document.root.key_mark.items()}
        if name in begins:
            starts = [0, *(end.end() for end in _LINE_END.finditer(self.text)), len(self.text)]
            after = min((line for line in begins.values() if line > begins[name]), default=len(starts))
            try:
                alone = self._composed(starts[begins[name] - 1], starts[after - 1])
            except yaml.YAMLError:
                alone = _Placed(None, 0)
            if isinstance(alone.node, yaml.MappingNode) and [key.value for key, _ in alone.node.value] == [name]:
                return alone
        return self._composed(0, len(self.text))

    def _composed(self, start: int, end: int) -> _Placed:
        """Return what stands between two places of the text."""
        start = max(start, int(self.text.startswith(_BYTE_ORDER_MARK)))
        loader = yaml.CSafeLoader if yaml.__with_libyaml__ else yaml.SafeLoader
        return _Placed(yaml.compose(self.text[start:end], Loader=loader), start)

    def _line_after(self, placed: _Placed) -> int:
        """Return where the line after the last one of a block begins."""
        end = _last(placed.node).end_mark.index + placed.shift
        if end and self.text[end - 1] == "\n":
            return int(end)
        line_end = self.text.find("\n", end)
        return len(self.text) if line_end < 0 else line_end + 1

    # new texts

    def _insert(self, place: int, entry: str) -> str:
        head = self.text[:place]
        new = ("" if not head or head.endswith("\n") else "\n") + entry
        return head + (new.replace("\n", "\r\n") if "\r\n" in self.text else new) + self.text[place:]

    def _between(self, first: Any, last: Any, shift: int, written: str) -> str:
        start, end = first.start_mark.index + shift, last.end_mark.index + shift
        return self.text[:start] + written + self.text[end:]

    def _into_flow(self, placed: _Placed, entry: str) -> str:
        node, shift = placed
        if not node.value:
            place = node.start_mark.index + 1 + shift
        else:
            last = node.value[-1]
            place = (last[1] if isinstance(last, tuple) else last).end_mark.index + shift
            entry = f", {entry}"
        return self.text[:place] + entry + self.text[place:]

    def _if_so(self, new: str, path: Path, change: Callable[[Any], Any]) -> Editable:
        """Return the new text if it reads as the old data with the change at a path, and nothing else."""
        try:
            document = parse_document(new.encode("utf-8"), self.document.file)
        except InputProblems as wrong:
            raise CannotEdit(f"it could not be read any more: {wrong.problems[0].found}") from wrong
        if document.root != _changed(self.document.root, path, change):
            raise CannotEdit("something else would be changed by it")
        return Editable(new, document)


def _changed(here: Any, path: Path, change: Callable[[Any], Any]) -> Any:
    """Return data with a change at a path; what does not lie on the path is shared, not copied."""
    if not path:
        return change(here)
    return _with(here, path[0], _changed(here[path[0]], path[1:], change))


def _with(here: Any, step: str | int, value: Any) -> Any:
    if isinstance(here, Mapping):
        return {**here, str(step): value}
    return [value if number == step else item for number, item in enumerate(here)]


def _in_a_line(node: Any) -> Any:
    if getattr(node, "flow_style", True) is False or getattr(node, "style", None) in ("|", ">"):
        raise CannotEdit("it stands in several lines")
    return node


def _last(node: Any) -> Any:
    """Return the last word, or list or mapping in brackets, of a node."""
    while isinstance(node, yaml.CollectionNode) and not node.flow_style and node.value:
        last = node.value[-1]
        node = last[1] if isinstance(last, tuple) else last
    return node


def _section(key: str, value: Any) -> str:
    """Return a section of its own: a mapping or a list in lines, each of their parts in one."""
    if isinstance(value, Mapping) and value:
        rows = "".join(f"{INDENT}{scalar(name)}: {flow(told)}\n" for name, told in value.items())
        return f"{scalar(key)}:\n{rows}"
    if isinstance(value, list) and value:
        return f"{scalar(key)}:\n" + "".join(f"{INDENT}- {flow(told)}\n" for told in value)
    return f"{scalar(key)}: {flow(value)}\n"
