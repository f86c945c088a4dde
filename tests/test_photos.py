"""Photos that a record names beside itself: hashed only there, of bounded size, and never with a traceback.

The numbers are those of ``hashlib`` over bytes written here; that of "abc" is the example of FIPS 180-4 (one block
message sample, SHA-256), from memory.  How a JPEG starts: ITU-T T.81, table B.1 (SOI, FF D8, then another marker).
"""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest
from faulty_builds import judged, shipped_rules
from test_outcomes_from_files import file_named

from packcheck.files import attached_files
from packcheck.files.attached_files import hash_beside, is_plain_path
from packcheck.files.problems import InputProblems
from packcheck.judging.check import check_file
from packcheck.model.opening import Text, open_bytes, open_file
from packcheck.model.record import taken_tests
from packcheck.rules.findings import Gate, Outcome

ABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
JPEG = b"\xff\xd8\xff\xe0abc"
JPEG_NUMBER = hashlib.sha256(JPEG).hexdigest()
RECORD, LAYOUT = file_named("godwit-8-clean.yaml"), file_named("godwit-8.yaml")
ROW = next(line.strip() for line in RECORD.read_text("utf-8").splitlines() if "pictures/face A" in line)


def build(folder: Path, file: str, sha256: str = JPEG_NUMBER) -> Path:
    """Write a clean record whose first picture lies in a file."""
    text = RECORD.read_text("utf-8").replace(ROW, f'pictures/face A: {{found: "{sha256}", file: "{file}"}}')
    (folder / LAYOUT.name).write_bytes(LAYOUT.read_bytes())
    (folder / "record.yaml").write_text(text, encoding="utf-8")
    return folder / "record.yaml"


def said(record: Path) -> tuple[Outcome | None, str]:
    """Return what the rule says of the picture, and what became of the file."""
    opened = open_file(record)
    assert opened.record is not None
    found = next((f for f in judged(opened.record, Gate.RELEASE).findings if f.rule == "photo-differs"), None)
    return found.outcome if found else None, opened.record.photos["pictures/face A"].why_not


def test_a_picture_that_is_the_one_recorded_is_met_and_another_one_is_not(tmp_path: Path) -> None:
    (tmp_path / "photos").mkdir()
    picture = tmp_path / "photos" / "a.jpg"
    record = build(tmp_path, "photos/a.jpg")
    assert said(record) == (Outcome.UNPROVEN, "is not there")
    picture.write_bytes(JPEG)
    assert said(record) == (None, "")
    picture.write_bytes(JPEG + b"d")
    assert said(record) == (Outcome.BROKEN, "")
    assert said(build(tmp_path, "photos/a.jpg", hashlib.sha256(JPEG + b"d").hexdigest().upper())) == (None, "")


@pytest.mark.parametrize("content", [b"abc", b"layout: godwit-8\n", b"<svg></svg>"], ids=["letters", "yaml", "drawing"])
def test_a_file_that_is_no_picture_is_none_though_its_number_is_right(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.jpg").write_bytes(content)
    record = build(tmp_path, "a.jpg", hashlib.sha256(content).hexdigest())
    assert said(record) == (Outcome.BROKEN, "")
    found = check_file(record, rules=shipped_rules(), gate=Gate.RELEASE).judgement.findings
    assert any("a.jpg is no picture" in f.found for f in found if f.rule == "photo-differs")


def test_the_number_of_an_empty_file_is_the_number_of_no_picture(tmp_path: Path) -> None:
    with pytest.raises(InputProblems) as raised:
        open_file(build(tmp_path, "a.jpg", hashlib.sha256(b"").hexdigest()))
    assert "an empty file" in raised.value.problems[0].found


def test_a_picture_taken_away_holds_the_release_as_one_that_differs_does(tmp_path: Path) -> None:
    record = build(tmp_path, "a.jpg")
    verdicts = []
    for content in (JPEG + b"d", None):
        (tmp_path / "a.jpg").write_bytes(content) if content else (tmp_path / "a.jpg").unlink()
        report = check_file(record, rules=shipped_rules(), gate=Gate.RELEASE)
        verdicts.append(report.judgement.verdict)
    assert verdicts[0] == verdicts[1]


@pytest.mark.parametrize("name", ["../a.jpg", "/etc/hostname", "C:a.jpg", "b\\a.jpg", "x/../../a.jpg", "."])
def test_a_name_that_leads_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    assert not is_plain_path(name)
    assert hash_beside(tmp_path, name).why_not == "is no name of a file beside the record"
    with pytest.raises(InputProblems) as raised:
        open_file(build(tmp_path, name.replace("\\", "\\\\")))
    assert "in the record's own folder or below" in str(raised.value.problems[0].needed)


def test_a_link_is_followed_inside_the_folder_and_never_out_of_it(tmp_path: Path) -> None:
    inside, outside = tmp_path / "record", tmp_path / "elsewhere"
    inside.mkdir()
    outside.mkdir()
    (outside / "a.jpg").write_bytes(b"abc")
    (inside / "real.jpg").write_bytes(b"abc")
    (inside / "a.jpg").symlink_to(outside / "a.jpg")
    (inside / "b.jpg").symlink_to("real.jpg")
    (inside / "folder").symlink_to(outside)
    (inside / "round").symlink_to("round")
    assert hash_beside(inside, "a.jpg").why_not == "leads out of the record's folder"
    assert hash_beside(inside, "folder/a.jpg").why_not == "leads out of the record's folder"
    assert hash_beside(inside, "b.jpg").sha256 == ABC
    assert hash_beside(inside, "round").sha256 == ""
    assert said(build(inside, "a.jpg")) == (Outcome.UNPROVEN, "leads out of the record's folder")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with a name are of POSIX systems")
def test_what_is_no_plain_file_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.jpg")
    (tmp_path / "folder.jpg").mkdir()
    assert hash_beside(tmp_path, "pipe.jpg").why_not == "is no plain file"
    assert hash_beside(tmp_path, "folder.jpg").why_not == "is no plain file"
    assert hash_beside(tmp_path, "folder.jpg/a.jpg").why_not == "is not there"
    assert hash_beside(tmp_path / "nowhere", "a.jpg").why_not == "is not there"
    assert hash_beside(tmp_path, "a" * 5000).why_not.startswith("could not be read")


def test_no_more_is_read_than_a_camera_makes_and_a_record_may_ask_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.jpg").write_bytes(b"abc")
    assert hash_beside(tmp_path, "a.jpg", 3).sha256 == ABC
    assert hash_beside(tmp_path, "a.jpg", 2) == ("", "is larger than 0 MB", 3, False)
    assert attached_files.MOST_BYTES == 64 * 2**20
    monkeypatch.setattr(taken_tests, "MOST_TOGETHER", 2)
    assert said(build(tmp_path, "a.jpg")) == (Outcome.UNPROVEN, "is larger than 0 MB")


def test_a_record_judged_by_its_bytes_alone_looks_at_no_file(tmp_path: Path) -> None:
    (tmp_path / "a.jpg").write_bytes(b"abc")
    record = build(tmp_path, "a.jpg")
    opened = open_bytes(record.read_bytes(), "record.yaml", Text(LAYOUT.read_bytes(), LAYOUT.name))
    assert opened.record is not None
    assert opened.record.photos == {}
    found = [f for f in judged(opened.record, Gate.RELEASE).findings if f.rule == "photo-differs"]
    assert [f.outcome for f in found] == [Outcome.UNPROVEN]


def test_only_a_photo_has_a_file(tmp_path: Path) -> None:
    record = build(tmp_path, "a.jpg")
    text = record.read_text("utf-8").replace("drain/left: {found: clear}", "drain/left: {found: clear, file: a.jpg}")
    record.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblems) as raised:
        open_file(record)
    assert "which is no photo" in raised.value.problems[0].found
