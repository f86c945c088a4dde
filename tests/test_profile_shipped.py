"""The shop profile that comes with the demonstration packs."""

from __future__ import annotations

from pathlib import Path

from packcheck.facts.tables import table_by_name
from packcheck.files.document import read_document
from packcheck.files.shipped import shipped_folder
from packcheck.judging.adopting import adopted_by, check_values
from packcheck.judging.check import check_file
from packcheck.rules.findings import Verdict
from packcheck.rules.library import load_rules
from packcheck.rules.profile import Profile, read_profile

RULES = load_rules([shipped_folder("rules")], table_by_name())
LAYOUTS = shipped_folder("layouts")


def profile() -> Profile:
    document = read_document(LAYOUTS / "workshop-profile.yaml")
    read = read_profile(document, RULES)
    check_values(document, read)
    return read


def test_it_reads_and_says_what_it_adopts() -> None:
    adopted = adopted_by(profile())
    assert (adopted.torque_bands["M5"].low, adopted.torque_bands["M5"].high) == (4.0, 5.0)
    assert adopted.surge_limit_a == 20.0


def test_a_band_of_the_shop_stands_in_where_the_layout_states_none(tmp_path: Path) -> None:
    text = (LAYOUTS / "skerry-24" / "skerry-24.yaml").read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if line.strip().startswith("torque: 4.0"))
    bare = tmp_path / "bare.yaml"
    bare.write_text(text.replace(line + "\n", ""), encoding="utf-8")
    without = check_file(bare, rules=RULES).judgement
    assert without.verdict is Verdict.HOLD
    with_shop = check_file(bare, rules=RULES, profile=profile()).judgement
    assert with_shop.verdict is Verdict.NO_RULE_BROKEN
    missing = [finding for finding in with_shop.findings if finding.rule == "joint-band-missing"]
    assert {finding.subject for finding in missing} == {"post", "lug"}


def test_waivers_and_adopted_limits_stand_in_the_report() -> None:
    report = check_file(LAYOUTS / "skerry-24" / "clean-sk-0417.yaml", rules=RULES, profile=profile())
    assert [waiver.rule for waiver in report.waivers] == ["joint-resistance-above-peers"]
    named = {(limit.name, rule) for limit in report.limits for rule in limit.rules}
    assert ("ghost_most_v", "reading-floating") not in named
    assert ("ghost_most_v", "disconnect-not-shown-open") in named, "adopted for one rule is not adopted for another"
    assert "drift_cell_v" in {name for name, _ in named}
