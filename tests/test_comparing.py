"""Two records of one pack: what became worse between them, by rules; two packs are refused."""

from __future__ import annotations

import json
import random
from collections import Counter
from pathlib import Path

import jsonschema
import pytest
import yaml
from clean_records import clean_build
from workshop import Data, clean_record, pack_of, record_of, stick_layout

from packcheck.app.cli import run
from packcheck.facts.tables import table_by_name
from packcheck.files.document import parse_document
from packcheck.files.problems import WrongUsage
from packcheck.files.shipped import schema_folder, shipped_folder
from packcheck.judging.comparing import Comparison, compare
from packcheck.model.pack.from_document import read_pack
from packcheck.model.record.from_document import read_record
from packcheck.render.comparison import headline, render_comparison
from packcheck.rules.findings import Outcome
from packcheck.rules.library import load_rules

RULES = load_rules([shipped_folder("rules")], table_by_name())
PACK = pack_of(stick_layout(6))
BEFORE = clean_record(PACK)
COLUMNS = BEFORE["modules"]["columns"]


def later(modules: Data | None = None, joints: Data | None = None, **more: object) -> Data:
    """Return the clean record a week later, some rows otherwise."""
    table = {**BEFORE["modules"], **(modules or {})}
    table["taken"] = {**table["taken"], "at": "2026-10-12 08:40"}
    made = {**BEFORE["joints"], **(joints or {})}
    made["taken"] = {**made["taken"], "at": "2026-10-12 11:20"}
    return {**BEFORE, "modules": table, "joints": made, **more}


def compared(now: Data, before: Data = BEFORE) -> Comparison:
    return compare(record_of(now, PACK), record_of(before, PACK), RULES)


def row(position: str, **otherwise: object) -> list[object]:
    found = dict(zip(COLUMNS, BEFORE["modules"][position], strict=True))
    return list({**found, **{name.replace("_", " "): value for name, value in otherwise.items()}}.values())


def broken(found: Comparison) -> list[tuple[str, str]]:
    return [(f.rule, f.subject) for f in found.judgement.findings if f.outcome is Outcome.BROKEN]


def test_a_pack_that_kept_everything_has_nothing_worse() -> None:
    found = compared(later())
    assert found.judgement.findings == ()
    assert len(found.rows) == 6 + len(PACK.joints)
    assert headline(found) == f"NOTHING BECAME WORSE THAN IT MAY, of {len(found.rows)} readings taken both times"


def test_one_module_that_lost_beside_others_that_did_not_is_found() -> None:
    volts = BEFORE["modules"]["P2"][COLUMNS.index("rest V")]
    found = compared(later({"P2": row("P2", rest_V=round(volts - 0.11, 3))}))
    assert broken(found) == [("charge-lost-unlike-since", "rest of P2")]
    allowed = (0.010 + 0.002 * 7) * 6 + 0.010
    assert allowed == pytest.approx(0.154), "110 mV are within what one alone may lose in a week"
    assert "the middle of 6 alike is 0 V" in found.judgement.findings[0].found


def test_all_that_lost_alike_are_held_to_the_limit_of_one_alone() -> None:
    volts = COLUMNS.index("rest V")
    all_lower = {p: row(p, rest_V=round(BEFORE["modules"][p][volts] - 0.11, 3)) for p in PACK.positions}
    assert broken(compared(later(all_lower))) == []
    far_lower = {p: row(p, rest_V=round(BEFORE["modules"][p][volts] - 0.20, 3)) for p in PACK.positions}
    assert len(broken(compared(later(far_lower)))) == 6


def test_an_exchanged_module_is_not_compared_and_told() -> None:
    found = compared(later({"P2": row("P2", serial="M-2222", rest_V=7.5)}))
    assert broken(found) == []
    assert found.exchanged == ("P2",)


def test_without_serials_a_loss_is_not_proved() -> None:
    found = compared(later({"P2": row("P2", serial="none", rest_V=7.5)}))
    (one,) = found.judgement.findings
    assert (one.rule, one.subject, one.outcome) == ("charge-lost-since", "rest of P2", Outcome.UNPROVEN)
    assert [below.rule for below in one.consequences] == ["charge-lost-unlike-since"]


def test_what_was_not_read_again_is_told() -> None:
    found = compared(later({"P2": row("P2", rest_V="none")}))
    assert found.unread == ("rest of P2",)
    assert "NOT READ AGAIN\n  rest of P2" in render_comparison(found)


def test_two_packs_and_the_wrong_order_are_refused() -> None:
    other = {**later(), "of": {**BEFORE["of"], "pack": "SK-2"}}
    nameless = {**later(), "of": {key: value for key, value in BEFORE["of"].items() if key != "pack"}}
    strange = record_of(
        clean_record(pack_of(stick_layout(6) | {"name": "stranger"})), pack_of(stick_layout(6) | {"name": "stranger"})
    )
    for now, words in ((other, "not compared"), (nameless, "does not say under of:")):
        with pytest.raises(WrongUsage, match=words):
            compared(now)
    with pytest.raises(WrongUsage, match="are of two packs"):
        compare(strange, record_of(BEFORE, PACK), RULES)
    with pytest.raises(WrongUsage, match="name the later record first"):
        compared(BEFORE, later())


def test_nothing_in_common_is_open() -> None:
    bare = {key: BEFORE[key] for key in ("record", "layout", "of")}
    found = compared(bare)
    assert headline(found) == "NOTHING TO COMPARE: nothing was read in both records"
    assert found.rows == ()


def test_the_command_in_both_formats(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    folder = shipped_folder("layouts") / "skerry-24"
    text = (folder / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    (tmp_path / "skerry-24.yaml").write_bytes((folder / "skerry-24.yaml").read_bytes())
    risen = text.replace("B01/P01: [4.5, 81.7,", "B01/P01: [4.5, 131.7,")
    (tmp_path / "later.yaml").write_text(risen, encoding="utf-8")
    command = ["compare", str(tmp_path / "later.yaml"), str(folder / "clean-sk-0417.yaml")]
    assert run(command) == 1
    printed = capsys.readouterr().out
    assert printed.startswith("1 THING WORSE THAN IT MAY BE, of 79 readings taken both times")
    assert "B01/P01: 81.7 µΩ, then 131.7 µΩ" in printed
    assert run([*command, "--format", "json"]) == 1
    parsed = json.loads(capsys.readouterr().out)
    jsonschema.validate(parsed, json.loads((schema_folder() / "comparison.json").read_text(encoding="utf-8")))
    assert [finding["rule"] for finding in parsed["findings"]] == ["joint-risen-since"]
    assert len(parsed["read both times"]) == 79
    assert run(["compare", str(folder / "skerry-24.yaml"), str(folder / "clean-sk-0417.yaml")]) == 2


@pytest.mark.parametrize("seed", range(12))
def test_a_clean_build_read_again_with_the_same_meters_raises_nothing(seed: int) -> None:
    """Each number is read anew, off by what its meter leaves open; all stood for ten days and settled by 3 mV."""
    written, dice = clean_build(seed, most=24), random.Random(seed)
    pack = read_pack(parse_document(written.layout, "layout.yaml"))
    again = yaml.safe_load(written.record.replace("2026-10-0", "2026-10-1"))
    again["caps"] = dict.fromkeys(again.get("caps", {}), "on")  # which YAML of old takes for true
    volts, ohms = again["modules"]["columns"].index("rest V"), again["joints"]["columns"].index("resistance µΩ")
    for name in pack.positions:
        again["modules"][name][volts] = round(again["modules"][name][volts] - 0.003 + dice.uniform(-2, 2) * 1e-3, 3)
    for name in pack.joints:
        again["joints"][name][ohms] = round(again["joints"][name][ohms] * dice.uniform(0.98, 1.04), 1)
    now, before = (
        read_record(parse_document(text, "record.yaml"), pack)
        for text in (json.dumps(again, default=str, ensure_ascii=False), written.record)
    )
    found = compare(now, before, RULES)
    modules = len(pack.positions)
    counted = Counter(row.values["what"] for row in found.rows)
    assert (counted.pop("rest"), counted.pop("joint resistance")) == (modules, len(pack.joints))
    assert counted.items() <= {("module resistance", modules), ("capacity", modules), ("isolation", 1)}
    assert [(f.rule, f.subject, f.found) for f in found.judgement.findings] == []
