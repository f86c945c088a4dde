"""One record put before the rules: what they say of it that they do not say of the sound build."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.document import Document, parse_document
from packcheck.files.names import names_within
from packcheck.judging.judge import judge
from packcheck.model.opening import Text, open_document
from packcheck.model.pack.parts import needed_parts
from packcheck.model.record.model import Record
from packcheck.rules.catalogue import Facts
from packcheck.rules.findings import Finding, Gate, Judgement, Outcome, Severity
from packcheck.rules.rule import Rule
from packcheck.simulate.faults.fault import WHOLE, parts_of
from packcheck.simulate.faults.library import Placed
from packcheck.simulate.record import write_record
from packcheck.simulate.record_text import record_text
from packcheck.simulate.scribe import Bench

Said = tuple[str, str, str]
"""A finding as what can be compared: rule, subject, outcome."""


@dataclass(frozen=True)
class Trial:
    """A layout with the rules that its records are held to."""

    layout: Text
    bench: Bench
    rules: tuple[Rule, ...]

    def judged(self, text: str) -> Judgement:
        """Return what the rules say of the text of a record, at the last gate."""
        record = self.record_in(parse_document(text, "record.yaml"))
        return self.judged_facts(build_facts(record.pack, record))

    def record_in(self, document: Document) -> Record:
        """Return the record that a document holds."""
        record = open_document(document, self.layout).record
        assert record is not None, "a simulated record says that it is one"
        return record

    def judged_facts(self, facts: Facts) -> Judgement:
        """Return what the rules say of facts, at the last gate."""
        return judge(self.rules, facts, table_by_name(), gate=Gate.RELEASE, profile=None, layout_only=False)

    def of_sound(self, seed: str, wanted: Collection[str] = ()) -> Judgement:
        """Return what the rules say of a build with nothing wrong."""
        return self.judged(record_text(write_record(self.bench, seed, self.bench.build(seed), wanted=wanted)))


@dataclass(frozen=True)
class Heard:
    """What was said of a faulty build beyond what is said of the sound one."""

    placed: Placed
    findings: tuple[Finding, ...]
    near: frozenset[str]

    @cached_property
    def right(self) -> tuple[Finding, ...]:
        """Return the findings of a rule that ought to find it, at its place."""
        expected = self.placed.fault.expected(self.placed.variant)
        return tuple(f for f in self.findings if f.rule in expected and self._is_there(f))

    def _is_there(self, finding: Finding) -> bool:
        """Return whether a finding is about the place of the fault, or about the pack where it can tell no place."""
        near = self.near
        return not near or bool(near & finding.touches) or finding.subject in near

    @cached_property
    def rules(self) -> tuple[str, ...]:
        """Return the rules that say anything, those that only advise left out unless they are the right ones."""
        own = {f.rule for f in self.right}
        said = (f.rule for f in self.findings if f.severity is not Severity.ADVISE or f.rule in own)
        return tuple(dict.fromkeys(said))


def heard(bench: Bench, placed: Placed, judgement: Judgement, sound: frozenset[Said]) -> Heard:
    """Return what is said of a faulty build that is not said of the sound one."""
    findings = tuple(f for f in flattened(judgement.findings) if said(f) not in sound)
    return Heard(placed, findings, near_names(bench, placed.place))


def spoken(judgement: Judgement) -> frozenset[Said]:
    """Return all that is said, to be compared."""
    return frozenset(said(f) for f in flattened(judgement.findings))


def said(finding: Finding) -> Said:
    """Return a finding as what can be compared."""
    return (finding.rule, finding.subject, finding.outcome.value)


def flattened(findings: Iterable[Finding]) -> Iterator[Finding]:
    """Yield findings and those that follow from them, however deep; what is met is no finding."""
    for finding in findings:
        if finding.outcome is not Outcome.MET:
            yield finding
        yield from flattened(finding.consequences)


def near_names(bench: Bench, place: str) -> frozenset[str]:
    """Return the names under which a rule may speak of a place; none where any will do.

    Beside the parts themselves these are what they are made of and read by: the tap of a reading, the part number of a
    bar, the screws of a cover; and the pack, of which rules speak that can tell no place.
    """
    if place == WHOLE:
        return frozenset()
    names = {bench.pack.name, "whole"}
    for part in parts_of(place):
        names.update(names_within(part), _made_of(bench, part))
    return frozenset(names)


def _made_of(bench: Bench, part: str) -> Iterator[str]:
    pack = bench.pack
    connected = [tap.name for tap in pack.taps.values() if tap.connector == part]
    part = part.removeprefix("past ")
    yield part
    words = {part, *connected, *(pack.devices[part].ends if part in pack.devices else ())}
    yield from connected
    for tap in (part, *connected):
        if tap in pack.taps:
            yield from (pack.taps[tap].node, pack.part_at(pack.taps[tap].node))
    yield from (
        one.name for one in bench.plan.readings if words & {one.plus, one.minus} or one.name.endswith(f" {part}")
    )
    if part in pack.conductors:
        yield pack.conductors[part].part
        for landing in pack.conductors[part].lands:
            yield from (landing.joint, landing.node, pack.part_at(landing.node))
    if part in pack.covers:
        yield pack.covers[part].screw_part
    if part in pack.devices:
        yield from ("mains open", f"across {part}")
    if part == "mains open":
        yield from (device.name for device in pack.devices.values() if device.kind == "service disconnect")
    if part in pack.places or part.endswith((".1", ".2")):
        yield from (name for name in needed_parts(pack) if name.startswith("cap"))
    if part in pack.strings:
        yield from (name for group in pack.strings[part].groups for name in pack.groups[group])
