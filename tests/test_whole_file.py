"""Files are written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from packcheck.errors import WrongUsage
from packcheck.whole_file import build_whole, write_whole


def test_the_old_file_stays_when_building_fails(tmp_path: Path) -> None:
    target = tmp_path / "facts.sqlite"
    target.write_text("old")

    def build(draft: Path) -> None:
        draft.write_text("half")
        raise RuntimeError("out of paper")

    with pytest.raises(RuntimeError):
        build_whole(target, build)
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_text_is_written_as_utf_8_with_its_line_ends(tmp_path: Path) -> None:
    write_whole(tmp_path / "a.txt", "80 µΩ\n")
    assert (tmp_path / "a.txt").read_bytes() == "80 µΩ\n".encode()


def test_rights_of_a_replaced_file_are_kept(tmp_path: Path) -> None:
    target = tmp_path / "a.txt"
    target.write_text("old")
    target.chmod(0o640)
    write_whole(target, "new")
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_link_is_followed_not_replaced(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_whole(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


@pytest.mark.parametrize("target", [".", "absent/a.txt", "/dev/null"])
def test_a_folder_an_absent_folder_and_a_device_are_refused(target: str, tmp_path: Path) -> None:
    with pytest.raises(WrongUsage):
        write_whole(tmp_path / target, "x")
    assert list(tmp_path.iterdir()) == []
    assert Path("/dev/null").is_char_device()
