"""Files are written whole or not at all."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from packcheck.app.cli import run
from packcheck.files import whole_file
from packcheck.files.problems import WrongUsage
from packcheck.files.whole_file import build_whole, write_whole


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


def folder_with(tmp_path: Path, text: str = "old") -> Path:
    target = tmp_path / "answer.txt"
    target.write_text(text)
    return target


def test_the_old_file_stays_when_the_disk_is_full(tmp_path: Path) -> None:
    target = folder_with(tmp_path)

    def build(draft: Path) -> None:
        draft.write_text("half of the new one")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    with pytest.raises(WrongUsage, match=r"cannot write .*answer\.txt: No space left on device"):
        build_whole(target, build)
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("step", ["_give_usual_rights", "_flush"])
def test_the_old_file_stays_when_a_later_step_fails(step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = folder_with(tmp_path)

    def fail(*_: object) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(whole_file, step, fail)
    with pytest.raises(WrongUsage, match="Input/output error"):
        write_whole(target, "new")
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_really_full_device_leaves_the_old_file(tmp_path: Path) -> None:
    """A limit on the size of files that a process may write stands for a full disk."""
    target = folder_with(tmp_path)
    code = (
        "import resource, signal, sys; from pathlib import Path; from packcheck.app.cli import run\n"
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN); resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        f"sys.exit(run(['schema', 'layout', '--output', {str(target)!r}, '--force']))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert done.returncode == 2, done.stderr
    assert "File too large" in done.stderr
    assert "Traceback" not in done.stderr
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize("moment", ["build", "_flush"])
def test_a_kill_at_any_moment_leaves_the_old_file_whole(moment: str, tmp_path: Path) -> None:
    """Killed for good, a process can leave its draft behind, but never half a file under the name asked for."""
    target = folder_with(tmp_path)
    code = (
        "import os, signal; from pathlib import Path; from packcheck.files import whole_file\n"
        "def die(*_): os.kill(os.getpid(), signal.SIGKILL)\n"
        "def build(draft):\n    draft.write_text('half')\n    die() if MOMENT == 'build' else None\n"
        "whole_file._flush = die\n"
        f"whole_file.build_whole(Path({str(target)!r}), build)"
    ).replace("MOMENT", repr(moment))
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, timeout=60)
    assert done.returncode == -signal.SIGKILL
    assert target.read_text() == "old"
    assert all(entry == target or entry.suffix == ".part" for entry in tmp_path.iterdir())


def test_a_stop_from_the_keyboard_leaves_the_old_file_and_no_draft(tmp_path: Path) -> None:
    target = folder_with(tmp_path)

    def build(draft: Path) -> None:
        draft.write_text("half")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        build_whole(target, build)
    assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]


def test_the_name_is_never_seen_half_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """At every step of writing, a reader of the name sees the old text or all of the new one."""
    target = folder_with(tmp_path)
    seen: list[str] = []
    usual = whole_file._flush

    def looking(draft: Path) -> None:
        seen.append(target.read_text())
        usual(draft)
        seen.append(target.read_text())

    monkeypatch.setattr(whole_file, "_flush", looking)
    write_whole(target, "new" * 10_000)
    assert [*seen, target.read_text()] == ["old", "old", "new" * 10_000]


@pytest.mark.parametrize("command", ["check", "show", "facts", "schema"])
def test_a_command_that_refuses_its_file_writes_nothing(
    command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    bad = Path(__file__).parent / "bad" / "layout" / "both-mains-at-one-node.yaml"
    subject = "laoyut" if command == "schema" else str(bad)
    target = folder_with(tmp_path)
    code = run([command, subject, "--output", str(target), "--force"])
    capsys.readouterr()
    if command == "check":  # several files may be asked for at once: the answer tells which of them cannot be read
        assert code == 4
        assert target.read_text().startswith("NOT JUDGED")
    else:
        assert code == (2 if command == "schema" else 4)
        assert target.read_text() == "old"
    assert list(tmp_path.iterdir()) == [target]
