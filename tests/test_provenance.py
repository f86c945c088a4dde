"""What surrounds a judgement: limits, waivers, statements, files."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest
from judgements import judgement

from packcheck.facts.tables import table_by_name
from packcheck.files.shipped import shipped_folder
from packcheck.judging.provenance import (
    compose_report,
    layout_from_elsewhere,
    sources_of,
    stated_by,
    unadopted_limits,
)
from packcheck.model.opening import Opened, open_file
from packcheck.model.record.model import FittedConductor, FittedModule, Record
from packcheck.rules.findings import Tally, Verdict
from packcheck.rules.library import load_rules
from packcheck.rules.profile import AdoptedValue, Note, Profile
from packcheck.rules.rule import Basis, Limit, Rule

NOTE = Note("E. Hale", "2026-09-01", "Measured over a year.")
SHIPPED = load_rules([shipped_folder("rules")], table_by_name())
CLEAN = judgement(Verdict.NO_RULE_BROKEN)


def rule_with_limit(*kinds: str) -> Rule:
    limit = Limit("factor", Fraction(3), "", "why", tuple(Basis(kind) for kind in kinds))
    return replace(SHIPPED[0], name="module-reversed", limits={"factor": limit})


def profile(**adopted: AdoptedValue) -> Profile:
    return Profile("Shop", {"module-reversed": adopted}, {}, {}, {"module-not-weighed": NOTE}, "")


@pytest.fixture(scope="module")
def opened() -> Opened:
    return open_file(Path(__file__).parent / "samples" / "gannet-6.yaml")


def test_a_limit_of_common_practice_is_named_until_a_shop_adopts_it() -> None:
    rules = [rule_with_limit("common practice")]
    assert [limit.name for limit in unadopted_limits(CLEAN, rules, None)] == ["factor"]
    assert [limit.value for limit in unadopted_limits(CLEAN, rules, profile())] == ["3"]
    assert unadopted_limits(CLEAN, rules, profile(factor=AdoptedValue(Fraction(4), "", NOTE))) == ()


def test_a_limit_with_a_published_basis_is_not_named() -> None:
    assert unadopted_limits(CLEAN, [rule_with_limit("published")], None) == ()
    assert unadopted_limits(CLEAN, [rule_with_limit("common practice", "published")], None) == ()


def test_a_limit_of_a_rule_that_applied_to_nothing_is_not_named() -> None:
    idle = replace(CLEAN, tallies=(Tally("module-reversed", not_applicable=3),))
    assert unadopted_limits(idle, [rule_with_limit("common practice")], None) == ()


def test_what_was_stated_as_drawn_is_named(opened: Opened) -> None:
    record = Record(
        pack=opened.pack, file="r.yaml", extra_none=True,
        modules={"P01": FittedModule("P01", stated_as_drawn=True), "P02": FittedModule("P02")},
        conductors={"B01": FittedConductor("B01", "bars", stated_as_drawn=True)},
    )  # fmt: skip
    assert [(stated.what, stated.names) for stated in stated_by(record)] == [
        ("modules as drawn", ("P01",)), ("conductors as drawn", ("B01",)),
        ("that nothing conducts which is not listed", ("extra: none",)),
    ]  # fmt: skip


def test_a_silent_record_states_nothing(opened: Opened) -> None:
    assert stated_by(Record(pack=opened.pack, file="r.yaml")) == ()


def test_every_file_is_named_with_its_hash(opened: Opened) -> None:
    sources = sources_of(opened, SHIPPED, None)
    assert [(source.role, source.file) for source in sources] == [
        ("layout", opened.file), ("rules", f"{len(SHIPPED)} files"),
    ]  # fmt: skip
    assert len({source.sha256 for source in sources}) == 2


def test_the_report_names_what_was_judged(opened: Opened) -> None:
    report = compose_report(CLEAN, opened, SHIPPED, profile())
    assert (report.about.kind, report.about.layout, report.about.revision) == ("layout", "gannet-6", 2)
    assert [(w.rule, w.by, w.on) for w in report.waivers] == [("module-not-weighed", "E. Hale", "2026-09-01")]


@pytest.mark.parametrize(
    ("name", "noun"),
    [("P01", "module"), ("B01/P01", "joint"), ("B01", "conductor"), ("SD", "device"), ("T00", "sense tap"),
     ("P01.A", "post"), ("CA", "cover"), ("main", "string"), ("nut-m5", "part"), ("nothing", "place")],
)  # fmt: skip
def test_places_are_called_by_the_trades_word(opened: Opened, name: str, noun: str) -> None:
    from packcheck.judging.provenance import _Nouns

    assert _Nouns(opened.pack)(name) == noun


def test_a_layout_from_another_folder_than_the_record_is_said(tmp_path: Path) -> None:
    samples = Path(__file__).parent / "outcomes" / "packs"
    layout, record = samples / "smew-4s2p.yaml", samples / "smew-4s2p-clean.yaml"
    (tmp_path / "build").mkdir()
    moved, below = tmp_path / "build" / record.name, tmp_path / layout.name
    moved.write_bytes(record.read_bytes())
    below.write_bytes(layout.read_bytes())
    assert layout_from_elsewhere(open_file(record)) == ()
    assert [stated.names for stated in layout_from_elsewhere(open_file(moved, layout))] == [(str(layout),)]
    assert [stated.names for stated in layout_from_elsewhere(open_file(moved, below))] == [(str(below),)]
    moved.with_name(layout.name).write_bytes(layout.read_bytes())
    assert layout_from_elsewhere(open_file(moved)) == ()
    assert layout_from_elsewhere(open_file(layout)) == ()
