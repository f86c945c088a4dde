"""Our own proposed order, written as the layout's order with its steps planned as shown, breaks no rule."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis.strategies import text
from workshop import Data, grouped_layout, pack_of, rack_layout, stick_layout, trayed_layout

from packcheck.exposure.answer import Answer, work_out
from packcheck.exposure.exposed import Asked
from packcheck.facts.build import build_facts
from packcheck.facts.tables import table_by_name
from packcheck.files.document import parse_document
from packcheck.files.document.yaml_text import plain
from packcheck.files.shipped import shipped_folder
from packcheck.judging.judge import judge
from packcheck.model.opening import open_file
from packcheck.model.pack.from_document import read_pack
from packcheck.model.pack.model import Pack
from packcheck.model.pack.order import read_order
from packcheck.render.exposure_order import render_order
from packcheck.render.exposure_text import render_exposure
from packcheck.rules.findings import Gate
from packcheck.rules.library import load_rules

COVERS_LACKING = "bare-bars-beside-class-b-joint"
"""No order mends this one: it asks the engineer for covers that the layout does not have."""
RULES = [
    rule
    for rule in load_rules([shipped_folder("rules")], table_by_name())
    if rule.each in ("order", "step") and rule.name != COVERS_LACKING
]
SHAPES = [
    *(pytest.param(stick_layout(n), id=f"stick-{n}") for n in (4, 7, 8, 24)),
    *(pytest.param(rack_layout(c), id="rack-" + "-".join(map(str, c))) for c in ([4, 4], [5, 5], [8, 8], [6, 6, 6])),
    *(pytest.param(trayed_layout(n), id=f"trays-{n}") for n in (12, 16)),
    *(
        pytest.param(
            made, id=name, marks=pytest.mark.xfail(strict=True, reason="joins more often above 60 V than needed")
        )
        for name, made in (("stick-15", stick_layout(15)), ("trays-8", trayed_layout(8)))
    ),
    *(pytest.param(grouped_layout(n, 2), id=f"grouped-{n}x2") for n in (4, 8)),
]


@pytest.mark.parametrize("layout", SHAPES)
def test_our_own_proposal_breaks_no_rule_about_orders(layout: Data) -> None:
    shown = work_out(pack_of(layout), None, Asked(), proposed=True).exposures
    order = [[*e.stage.items, *(["class B"] if e.asks.voltage_class != "A" else [])] for e in shown]
    assert order
    facts = build_facts(pack_of({**layout, "order": order}))
    judgement = judge(RULES, facts, table_by_name(), gate=Gate.RELEASE, layout_only=True)
    assert sum(tally.met for tally in judgement.tallies) > 0
    assert judgement.findings == ()


# -- pasted back -----------------------------------------------------------------------------------------------------

SHIPPED = sorted(path for path in shipped_folder("layouts").glob("*/*.yaml") if path.stem == path.parent.name)


def work_of(pack: Pack) -> Answer:
    return work_out(pack, None, Asked())


def assert_pasted_is_proposed(pack: Pack, pasted: Pack) -> None:
    """Fail unless a pack whose order was pasted is worked as its proposal says."""
    proposal, answer = work_of(pack).proposal, work_of(pasted)
    stages = [(stage.number, stage.kind, set(stage.items)) for stage in read_order(pasted).stages]
    assert stages == [(stage.number, stage.kind, set(stage.items)) for stage in proposal.stages]
    assert answer.own is not None
    assert answer.left_out == ()
    assert answer.own.class_b_acts == proposal.merit.class_b_acts
    assert answer.own.stretches_v == pytest.approx(proposal.merit.stretches_v)
    assert (answer.passing is None) == (proposal.passing is None)
    if answer.passing and proposal.passing:
        assert answer.passing.act == proposal.passing.act
        assert answer.passing.after_v == pytest.approx(proposal.passing.after_v)
    planned = [int(str(row.subject).split()[1].split(",")[0].split(".")[0]) for row in build_facts(pasted)["step"]
               if row.values["planned_class_b"]]  # fmt: skip
    above = [row.values["highest_v"] > 60 for row in build_facts(pasted)["step"]]
    assert len(planned) == sum(above)


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_what_is_proposed_for_a_shipped_layout_can_be_pasted_into_its_text(path: Path) -> None:
    written = path.read_text(encoding="utf-8")
    own = re.search(r"^order:.*?(?=^\S|\Z)", written, re.MULTILINE | re.DOTALL)
    pack = read_pack(parse_document(written.encode(), path.name))
    proposed = render_order(work_of(pack))
    pasted = written.replace(own[0], proposed) if own else f"{written}\n{proposed}"
    assert_pasted_is_proposed(pack, read_pack(parse_document(pasted.encode(), path.name)))


@pytest.mark.parametrize("count", [4, 5, 9, 24])
def test_so_can_that_for_a_layout_without_an_order(count: int) -> None:
    layout = stick_layout(count)
    layout.pop("order", None)
    order = yaml.safe_load(render_order(work_of(pack_of(layout))))["order"]
    assert_pasted_is_proposed(pack_of(layout), pack_of({**layout, "order": order}))


def test_nothing_is_left_out_of_the_printed_proposal() -> None:
    pack = open_file(shipped_folder("layouts") / "tern-96" / "tern-96.yaml").pack
    shown = render_exposure(work_of(pack))
    proposal = shown[shown.index("PROPOSED ORDER") : shown.index("  merit")]
    assert "more" not in proposal
    assert "T4-G01b..T4-G24b" in proposal


@given(text())
def test_a_word_of_yaml_reads_back_as_it_was(word: str) -> None:
    if word.isprintable():
        assert yaml.safe_load(f"[{plain(word)}]") == [word]
        assert yaml.safe_load(f"{{{plain(word)}: 1}}") == {word: 1}


@pytest.mark.parametrize("word", ["on", "No", "1e3", "0x10", "a: b", "a #b", "it's", "- a", "12:30", "null", "~", ""])
def test_words_that_yaml_takes_for_others_are_quoted(word: str) -> None:
    assert yaml.safe_load(f"[{plain(word)}]") == [word]
