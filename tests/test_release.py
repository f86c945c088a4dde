"""``packcheck release``: when a sheet is made, what stands on it, and what ``--verify`` finds changed."""

from __future__ import annotations

import dataclasses
import hashlib
import re
from pathlib import Path

import pytest
import yaml
from demonstrations import records

import packcheck
from packcheck.app.cli import run
from packcheck.files.shipped import shipped_folder
from packcheck.judging.unrecorded import WORDS, unrecorded
from packcheck.model.opening import open_file

RECORD, LAYOUT, SHEET = "clean-pl-0052.yaml", "plover-16.yaml", "sheet.txt"
FOLDER = shipped_folder("layouts") / "plover-16"
CLEAN = [path for path in records() if path.name.startswith("clean-")]
FAULTY = [path for path in records() if not path.name.startswith("clean-")]
PROFILE = """\
profile: 1
shop: Harbour workshop
limits:
  joint-clamp-load-high:
    clamp_fraction_most: {value: 0.7, by: A. Vester, at: 2026-05-31, why: our studs are opened every year}
waivers:
  conductor-not-inspected: {by: A. Vester, at: 2026-05-31, why: bars are new from stock}
"""


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name in (RECORD, LAYOUT):
        (tmp_path / name).write_bytes((FOLDER / name).read_bytes())
    monkeypatch.chdir(tmp_path)
    return tmp_path


@pytest.fixture
def sheet(bench: Path) -> Path:
    assert run(["release", RECORD, "-o", SHEET]) == 0
    return bench / SHEET


def verified(capsys: pytest.CaptureFixture[str], *more: str, sheet: str = SHEET) -> tuple[int, dict[str, str]]:
    """Return the exit code of a verification, and what is said of each thing by its first word."""
    capsys.readouterr()
    code = run(["release", "--verify", sheet, *more])
    said = capsys.readouterr().out.splitlines()[1:]
    return code, {words.split()[0].rstrip(":,"): line.split()[0] for line in said for words in [line[11:]]}


# -- when a sheet is made --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", CLEAN, ids=lambda path: path.stem)
def test_every_clean_record_gets_a_sheet_that_verifies(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    target = str(tmp_path / "sheet.txt")
    assert run(["release", str(path), "-o", target]) == 0
    capsys.readouterr()
    assert run(["release", "--verify", target, str(path)]) == 0, capsys.readouterr().out
    said = [line.split()[0] for line in capsys.readouterr().out.splitlines()[1:]]
    assert said == ["same"] * 7


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_a_record_with_a_fault_gets_none_and_ends_as_check_does(
    path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record = path.with_name(path.name.replace(".expect", ""))
    target = tmp_path / "sheet.txt"
    code = run(["release", str(record), "-o", str(target)])
    told = capsys.readouterr()
    assert code == run(["check", str(record), "--gate", "release"])
    assert code in (1, 3)
    assert "NOT RELEASED" in told.err
    assert not told.out
    assert not target.exists()


def test_a_layout_gets_no_sheet(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["release", LAYOUT, "-o", SHEET]) == 2
    assert "is a layout" in capsys.readouterr().err
    assert not (bench / SHEET).exists()


@pytest.mark.parametrize("words", [["release"], ["release", "-"], ["release", "--verify", SHEET, "-o", "x"]])
def test_wrong_words_are_refused(words: list[str], sheet: Path) -> None:
    assert sheet.is_file()
    assert run(words) == 2


def test_nothing_that_was_read_and_no_sheet_is_written_over(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = sheet.read_bytes()
    assert run(["release", RECORD, "-o", SHEET]) == 2
    assert "not written over" in capsys.readouterr().err
    assert sheet.read_bytes() == before
    for name in (RECORD, LAYOUT):
        kept = Path(name).read_bytes()
        assert run(["release", RECORD, "-o", name, "--force"]) == 2
        assert Path(name).read_bytes() == kept
    assert run(["release", RECORD, "-o", SHEET, "--force"]) == 0


# -- what stands on it -----------------------------------------------------------------------------------------------


def section(text: str, heading: str) -> str:
    """Return what stands under a heading, its lines joined."""
    found = re.search(rf"^{heading}[^\n]*\n((?:  [^\n]*\n)+)", text, re.MULTILINE)
    assert found, heading
    return " ".join(found[1].split())


def test_the_sheet_names_files_by_their_own_hashes(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")
    for role, name in (("record", RECORD), ("layout", LAYOUT)):
        digest = hashlib.sha256(Path(name).read_bytes()).hexdigest()
        assert f"{role:<8}{name}\n        SHA-256 {digest}\n" in text
    assert f"packcheck {packcheck.__version__}\n" in text
    assert max(map(len, text.splitlines())) <= 80


def test_the_hash_of_the_rules_is_worked_out_as_the_sheet_says(sheet: Path) -> None:
    files = sorted(shipped_folder("rules").rglob("*.yaml"), key=lambda path: path.name)
    each = "".join(hashlib.sha256(path.read_text(encoding="utf-8").encode()).hexdigest() for path in files)
    digest = hashlib.sha256(each.encode()).hexdigest()
    assert f"rules   {len(files)} files\n        SHA-256 {digest}\n" in sheet.read_text(encoding="utf-8")


def test_every_default_limit_stands_there_with_what_it_is_for(sheet: Path) -> None:
    told = section(sheet.read_text(encoding="utf-8"), "DEFAULT LIMITS")
    applied = section(sheet.read_text(encoding="utf-8"), "RULES THAT APPLIED")
    limits = 0
    for path in shipped_folder("rules").rglob("*.yaml"):
        rule = yaml.safe_load(path.read_text(encoding="utf-8"))
        if re.search(rf"\b{rule['rule']} \d+ of", applied):
            for name, limit in rule.get("limits", {}).items():
                if all(basis["kind"] == "common practice" for basis in limit["basis"]):
                    limits += 1
                    assert " ".join(limit["why"].split()) in told, f"{name} of {rule['rule']}"
    assert limits >= 10


def test_each_rule_is_named_once_as_applied_or_idle(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")
    applied = re.findall(r"([a-z0-9-]+) \d+ of \d+", section(text, "RULES THAT APPLIED"))
    idle = re.findall(r"\[([a-z0-9-]+)\]", section(text, "RULES THAT HAD NOTHING"))
    rules = [path.stem for path in shipped_folder("rules").rglob("*.yaml")]
    judged_at_layout_or_record = [rule for rule in rules if rule in {*applied, *idle}]
    assert sorted(applied + idle) == sorted(judged_at_layout_or_record)
    assert len(rules) == len(judged_at_layout_or_record)


def test_waivers_and_adopted_numbers_stand_there(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (bench / "shop.yaml").write_text(PROFILE, encoding="utf-8")
    assert run(["release", RECORD, "-o", SHEET, "--profile", "shop.yaml"]) == 0
    text = (bench / SHEET).read_text(encoding="utf-8")
    assert "bars are new from stock (A. Vester, 2026-05-31)" in section(text, "WAIVED")
    assert "0.7 in place of 0.75" in section(text, "ADOPTED")
    assert "clamp_fraction_most" not in section(text, "DEFAULT LIMITS")
    assert verified(capsys)[0] == 0
    (bench / "shop.yaml").unlink()
    assert verified(capsys) == (3, {
        "record": "same", "layout": "same", "profile": "missing", "rules": "same", "packcheck": "same",
        "the": "same", "judged": "same",
    })  # fmt: skip


def test_names_to_sign_come_from_the_record(bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["release", RECORD, "-o", SHEET, "--signatory", "av", "--signatory", "RS"]) == 0
    text = (bench / SHEET).read_text(encoding="utf-8")
    assert "1.  Name       AV, readings and review\n" in text
    assert "2.  Name       RS, fitter\n" in text
    for names in (["XX"], ["AV", " av "], ["AV", "RS", "MK"]):
        words = [word for name in names for word in ("--signatory", name)]
        assert run(["release", RECORD, "-o", "other.txt", *words]) == 2
        assert "--signatory" in capsys.readouterr().err
        assert not Path("other.txt").exists()


# -- what is not recorded --------------------------------------------------------------------------------------------


def left_out(path: Path) -> dict[str, tuple[str, ...]]:
    opened = open_file(path)
    assert opened.record
    return {stated.what: stated.names for stated in unrecorded(opened.pack, opened.record)}


def test_every_field_that_can_be_left_out_has_words() -> None:
    told = {"origin", "at", "name", "position", "section", "stated_as_drawn", "told", "recheck_at", "shelf"}
    of_a_tool = {"low", "high", "due_text", "cycles", "range", "input_ohm"}
    for kind, words in WORDS.items():
        fields = {field.name for field in dataclasses.fields(kind) if field.name not in told | of_a_tool}
        assert fields == set(words), kind


def test_what_a_record_leaves_out_is_named(bench: Path) -> None:
    whole = left_out(bench / RECORD)
    assert "rest voltage of the module" not in whole
    assert whole["resistance of the module"] == tuple(f"P{n:02d}" for n in range(1, 17))
    text = (bench / RECORD).read_text(encoding="utf-8")
    for old, new in (
        ("P07: [L-0326, F, cell, 3.299]", "P07: [none, F, cell, none]"),
        ("  B02/P03: [6, 29.9, held, 2026-10-13 07:50, white]\n", ""),
        ("covers:\n  C1: as drawn\n", ""),
        ("  nut-m6:    [40, 36, 4, 0]\n", ""),
        ("extra: none ", "# extra: none "),
        ("length: 592.2 mm, torque: 5.0 N·m,", "length: 592.2 mm,"),
    ):
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    (bench / "less.yaml").write_text(text.replace("length: L1, torque: W1", "length: L1"), encoding="utf-8")
    less = left_out(bench / "less.yaml")
    assert {what: names for what, names in less.items() if names != whole.get(what)} == {
        "serial number of the module": ("P07",),
        "rest voltage of the module": ("P07",),
        "torque of the joint": ("B02/P03",),
        "resistance of the joint": ("B02/P03",),
        "re-check of the joint": ("B02/P03",),
        "paint mark on the joint": ("B02/P03",),
        "whether the cover is fitted": ("C1",),
        "number of screws in the cover": ("C1",),
        "count of the loose part": ("nut-m6",),
        "torque of the clamp rods": ("clamp",),
        "that nothing conducts which is not listed": ("extra: none",),
    }


def test_a_cap_that_a_record_does_not_tell_of_is_named(tmp_path: Path) -> None:
    folder = shipped_folder("layouts") / "skerry-24"
    text = (folder / "clean-sk-0417.yaml").read_text(encoding="utf-8")
    (tmp_path / "skerry-24.yaml").write_bytes((folder / "skerry-24.yaml").read_bytes())
    (tmp_path / "whole.yaml").write_text(text, encoding="utf-8")
    assert text.count("  F1.2:   on\n") == 1
    (tmp_path / "less.yaml").write_text(text.replace("  F1.2:   on\n", ""), encoding="utf-8")
    whole, less = left_out(tmp_path / "whole.yaml"), left_out(tmp_path / "less.yaml")
    assert less == {**whole, "whether a cap is on": ("F1.2",)}
    assert "whether a cap is on" not in whole


# -- what has changed since ------------------------------------------------------------------------------------------

ALL_SAME = {
    "record": "same", "layout": "same", "rules": "same", "packcheck": "same", "the": "same", "judged": "same",
}  # fmt: skip


def test_nothing_changed_is_all_the_same(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert sheet.is_file()
    assert verified(capsys) == (0, ALL_SAME)


@pytest.mark.parametrize(("name", "role"), [(RECORD, "record"), (LAYOUT, "layout")])
def test_one_byte_more_is_a_change(name: str, role: str, sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert sheet.is_file()
    with Path(name).open("a") as file:
        file.write("\n")
    assert verified(capsys) == (1, ALL_SAME | {role: "changed"})


@pytest.mark.parametrize(("name", "role"), [(RECORD, "record"), (LAYOUT, "layout")])
def test_a_file_that_is_gone_is_missing_until_it_is_named(
    name: str, role: str, sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert sheet.is_file()
    Path("kept").mkdir()
    Path(name).rename(f"kept/{name}")
    code, said = verified(capsys)
    assert (code, said[role]) == (3, "missing")
    words = [f"kept/{name}"] if role == "record" else ["--layout", f"kept/{name}"]
    assert verified(capsys, *words) == (0, ALL_SAME)


def test_other_rules_are_a_change(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rule = (shipped_folder("rules") / "torque" / "joint-torque-low.yaml").read_text(encoding="utf-8")
    folder = sheet.parent / "own" / "torque"
    folder.mkdir(parents=True)
    own = rule.replace("rule: joint-torque-low", "rule: joint-torque-lower")
    (folder / "joint-torque-lower.yaml").write_text(own, encoding="utf-8")
    assert verified(capsys, "--rules", "own") == (1, ALL_SAME | {"rules": "changed"})


def test_another_version_is_a_change(
    sheet: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    assert sheet.is_file()
    monkeypatch.setattr("packcheck.app.verify.__version__", "9.0.0")
    assert verified(capsys) == (1, ALL_SAME | {"packcheck": "changed"})


def test_a_record_that_no_longer_passes_is_told(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert sheet.is_file()
    text = Path(RECORD).read_text(encoding="utf-8")
    Path(RECORD).write_text(text.replace("B01/P01: [6,", "B01/P01: [16,"), encoding="utf-8")
    assert verified(capsys) == (1, ALL_SAME | {"record": "changed", "judged": "changed"})


def reseal(text: str) -> str:
    """Return a sheet with the seal that its text deserves: what anyone can do who has a tool for check numbers."""
    body = text[: text.index("SEAL ")]
    return re.sub(r"(?<=^SEAL    SHA-256 )[0-9a-f]{64}", hashlib.sha256(body.encode()).hexdigest(), text, flags=re.M)


def test_a_line_taken_out_is_found_by_the_seal(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = sheet.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines(keepends=True) if "resistance of the module, 16" in line)
    sheet.write_text(text.replace(line, ""), encoding="utf-8")
    code, said = verified(capsys)
    assert (code, said["the"]) == (1, "changed")


def test_a_line_taken_out_is_found_under_a_seal_made_anew(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = sheet.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines(keepends=True) if "resistance of the module, 16" in line)
    sheet.write_text(reseal(text.replace(line, "")), encoding="utf-8")
    assert run(["release", "--verify", SHEET]) == 1
    told = capsys.readouterr().out
    assert "same     the text of the sheet, by its seal" in told
    assert f"changed  the sheet at line {text[: text.index(line)].count(chr(10)) + 1}: " in told


def test_what_is_written_on_the_lines_to_sign_changes_nothing(sheet: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = sheet.read_text(encoding="utf-8")
    above, below = text[: text.index("By signing")], text[text.index("By signing") :]
    sheet.write_bytes((above + below.replace("_" * 44, "Anna Vester")).replace("\n", "\r\n").encode())
    assert verified(capsys) == (0, ALL_SAME)


@pytest.mark.parametrize(("old", "new"), [
    ("RELEASE SHEET", "LEASE SHEET"), ("SEAL  ", "STEAL  "), ("made    2", "made    x2"),
    ("by      packcheck", "by      pack"), ("record  ", "recorded"), ("layout  plover-16.yaml", "lay"),
    ("rules   ", "layout  x\n        SHA-256 " + "0" * 64 + "\nrules   "),
])  # fmt: skip
def test_a_sheet_without_its_lines_is_refused(
    old: str, new: str, sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = sheet.read_text(encoding="utf-8")
    assert old in text
    sheet.write_text(text.replace(old, new, 1), encoding="utf-8")
    assert run(["release", "--verify", SHEET]) == 4
    assert SHEET in capsys.readouterr().err


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\0", b"RELEASE SHEET of pack \x1b[2J\n", b"{}" * 1000])
def test_any_bytes_are_no_sheet(content: bytes, bench: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (bench / SHEET).write_bytes(content)
    assert run(["release", "--verify", SHEET]) == 4
    assert "\x1b" not in capsys.readouterr().err


@pytest.mark.parametrize("name", ["../secret.yaml", "/etc/hostname", "link.yaml", "pipe", "nul\0name", "a" * 5000])
def test_a_sheet_does_not_choose_which_other_files_are_read(
    name: str, sheet: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    import os

    outside = sheet.parent.parent / "secret.yaml"
    outside.write_bytes(Path(RECORD).read_bytes())
    Path("link.yaml").symlink_to(outside)
    os.mkfifo("pipe")
    text = sheet.read_text(encoding="utf-8").replace(f"record  {RECORD}\n", f"record  {name}\n")
    sheet.write_text(reseal(text), encoding="utf-8")
    code, said = verified(capsys)
    assert (code, said["record"]) == (3, "missing")


def test_a_number_of_a_pack_that_would_steer_a_terminal_is_spelled_out(
    bench: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (bench / RECORD).read_text(encoding="utf-8").replace("pack: PL-0052", 'pack: "PL\\e[2J-0052"')
    Path(RECORD).write_text(text, encoding="utf-8")
    run(["release", RECORD])
    told = capsys.readouterr()
    assert "\x1b" not in told.out + told.err
