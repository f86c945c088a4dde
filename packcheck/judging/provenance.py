"""What belongs around a judgement: whose limits were used, what was waived, what was only stated, which files."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from functools import cached_property
from os.path import basename
from pathlib import Path

from packcheck import __version__
from packcheck.files.quantities import format_quantity
from packcheck.judging.fewest_readings import as_asked, spare_readings
from packcheck.judging.report import (
    About,
    AdoptedNumber,
    Limit,
    ReadAgain,
    Report,
    Source,
    Stated,
    Waiver,
    build_report,
)
from packcheck.judging.staging import Stages
from packcheck.model.opening import Opened
from packcheck.model.pack.model import Pack
from packcheck.model.pack.parts import needed_parts
from packcheck.model.record.model import Record
from packcheck.model.record.second_readings import UNITS
from packcheck.rules.findings import Judgement
from packcheck.rules.profile import Note, Profile
from packcheck.rules.rule import Rule

COMMON_PRACTICE = "common practice"
FROM_ELSEWHERE = "the layout of this pack, from another folder than the record's"


def compose_report(
    judgement: Judgement, opened: Opened, rules: Sequence[Rule], profile: Profile | None = None
) -> Report:
    """Return the report of a judgement, with everything that belongs around it."""
    pack, record = opened.pack, opened.record
    about = About(
        file=opened.file, kind="record" if record else "layout", layout=pack.name, title=pack.title,
        revision=pack.revision, pack_id=record.serial if record else "",
    )  # fmt: skip
    sparing = spare_readings(pack, record) if record else as_asked
    return replace(
        build_report(judgement, about, noun_of=_Nouns(pack), work=Stages(pack), sparing=sparing),
        limits=unadopted_limits(judgement, rules, profile), waivers=waivers_of(profile),
        adopted=adopted_numbers(rules, profile),
        stated=(*(stated_by(record) if record else ()), *layout_from_elsewhere(opened)),
        again=read_again(record) if record else (),
        unjudged=unjudged_in(record) if record else (), untold=untold_in(record) if record else (),
        sources=sources_of(opened, rules, profile), version=__version__,
    )  # fmt: skip


def unadopted_limits(judgement: Judgement, rules: Iterable[Rule], profile: Profile | None) -> tuple[Limit, ...]:
    """Return the limits of rules that applied which rest on common practice alone and which no profile adopts."""
    applied = {tally.rule for tally in judgement.tallies if tally.judged}
    found: dict[tuple[str, str], list[str]] = {}
    for rule in rules:
        adopted = profile.limits.get(rule.name, {}) if profile else {}
        for limit in rule.limits.values():
            common = all(basis.kind == COMMON_PRACTICE for basis in limit.basis)
            if rule.name in applied and common and limit.name not in adopted:
                value = format_quantity(limit.value, limit.unit)
                found.setdefault((limit.name, value), []).append(rule.name)
    return tuple(Limit(name, value, tuple(users), COMMON_PRACTICE) for (name, value), users in found.items())


def waivers_of(profile: Profile | None) -> tuple[Waiver, ...]:
    """Return the waivers of a profile."""
    noted = profile.waivers.items() if profile else ()
    return tuple(Waiver(rule, note.by, note.at, note.why) for rule, note in noted)


def adopted_numbers(rules: Iterable[Rule], profile: Profile | None) -> tuple[AdoptedNumber, ...]:
    """Return every number of a profile beside the default that it stands in for."""
    return tuple(_adopted_numbers({rule.name: rule for rule in rules}, profile)) if profile else ()


def _adopted_numbers(rules: Mapping[str, Rule], profile: Profile) -> Iterator[AdoptedNumber]:
    for rule, limits in profile.limits.items():
        for name, adopted in limits.items():
            default = format_quantity(rules[rule].limits[name].value, adopted.unit)
            yield _adopted(f"{name} of {rule}", default, format_quantity(adopted.value, adopted.unit), adopted.note)
    for thread, adopted_band in profile.torque_bands.items():
        band = adopted_band.band
        ends = [format_quantity(end, "N·m") for end in (band.low, band.high) if end is not None]
        yield _adopted(f"torque of {thread}, where the layout states none", "none", " to ".join(ends),
                       adopted_band.note)  # fmt: skip
    for name, adopted in profile.values.items():
        value = format_quantity(adopted.value, adopted.unit)
        yield _adopted(f"{name}, where the layout states none", "none", value, adopted.note)


def _adopted(name: str, default: str, value: str, note: Note) -> AdoptedNumber:
    return AdoptedNumber(name, default, value, note.by, note.at, note.why)


def stated_by(record: Record) -> tuple[Stated, ...]:
    """Return what the record states in a word (``as drawn``) instead of recording it part by part."""
    tables = (("modules", record.modules), ("conductors", record.conductors), ("devices", record.devices))
    drawn = (
        Stated(f"{what} as drawn", tuple(name for name, part in parts.items() if part.stated_as_drawn))
        for what, parts in tables
    )
    nothing_else = (Stated("that nothing conducts which is not listed", ("extra: none",)),) if record.extra_none else ()
    return (*(stated for stated in drawn if stated.names), *nothing_else)


def layout_from_elsewhere(opened: Opened) -> tuple[Stated, ...]:
    """Return the layout that a person named and that does not lie in the record's folder or below."""
    folder = Path(opened.file).resolve().parent  # standard input lies where the command was given
    if opened.record is None or Path(opened.pack.file).resolve().is_relative_to(folder):
        return ()
    return (Stated(FROM_ELSEWHERE, (opened.pack.file,)),)


def unjudged_in(record: Record) -> tuple[Stated, ...]:
    """Return what the record tells and no rule judges."""
    return tuple(Stated(remark.what, remark.names) for remark in record.remarks)


def untold_in(record: Record) -> tuple[str, ...]:
    """Return what the record does not tell at all and no finding asks for, so that nobody takes silence for a pass."""
    if any(step.get("did") or step.get("took off") for step in record.work):
        return ()
    return ("the work: who did what, when, with which gloves, beside whom; no rule about it had anything to judge",)


def read_again(record: Record) -> tuple[ReadAgain, ...]:
    """Return the second readings of a record beside the first ones, which they stand in for and do not erase."""
    readings = (
        ReadAgain(
            what=f"{one.column} of {one.subject}",
            first=format_quantity(one.first.value, UNITS[one.column]) if one.first else "not read",
            later=format_quantity(one.later.value, UNITS[one.column]),
            at=_minute(one.later.at),
            by=one.later.by,
            why=one.why,
        )
        for one in record.superseded
    )
    looks = (
        ReadAgain(f"{one.column or 'what was said'} of {one.subject}", one.first, one.later, _minute(one.at), one.by,
                  one.why)
        for one in record.amended
    )  # fmt: skip
    return (*readings, *looks)


def _minute(at: datetime | None) -> str:
    return at.isoformat(" ", "minutes") if at else ""


def sources_of(opened: Opened, rules: Iterable[Rule], profile: Profile | None) -> tuple[Source, ...]:
    """Return every file that went into the answer with the SHA-256 of the bytes read.

    The rule files count as one: the SHA-256 over theirs, by name, each as text.
    """
    sources = [Source(role, file, sha256) for role, file, sha256 in opened.hashes]
    if profile and profile.file:
        sources.append(Source("profile", profile.file, profile.sha256))
    of_rules = rules_source(rules)
    return tuple([*sources, of_rules] if of_rules else sources)


def rules_source(rules: Iterable[Rule]) -> Source | None:
    """Return the rule files as one source; None where the rules come from no file."""
    files = sorted({(basename(rule.file), rule.file, rule.sha256) for rule in rules if rule.file})
    if not files:
        return None
    digest = hashlib.sha256("".join(sha256 for _, _, sha256 in files).encode())
    return Source("rules", f"{len(files)} files", digest.hexdigest())


class _Nouns:
    """The trade's word for what a name of a pack stands for; the parts are counted only where a name may be one."""

    def __init__(self, pack: Pack) -> None:
        self._pack = pack

    def __call__(self, name: str) -> str:
        return next((noun for noun, names in self._known() if name in names), "place")

    def _known(self) -> Iterator[tuple[str, Collection[str]]]:
        pack = self._pack
        yield from (("joint", pack.joints), ("module", pack.positions), ("conductor", pack.conductors))
        yield from (("device", pack.devices), ("sense tap", pack.taps), ("cover", pack.covers), ("part", self._parts))
        yield from (("post", pack.nodes), ("group", pack.groups), ("string", pack.strings))

    @cached_property
    def _parts(self) -> Collection[str]:
        return needed_parts(self._pack)
