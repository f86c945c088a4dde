"""Many files in one run: the same answers on every executor, a table first, and no file that stops the others."""

from __future__ import annotations

import io
import json
import os
import pickle
from collections.abc import Iterator
from concurrent.futures import Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from multiprocessing import get_context
from pathlib import Path

import jsonschema
import pytest
from demonstrations import demonstration
from test_cli import fake_judge

from packcheck.app.arguments import rules_and_profile
from packcheck.app.check_files import Progress, files_of
from packcheck.app.cli import run
from packcheck.app.formats import Form, whole
from packcheck.app.many import HeldTo, Order, cores, is_worth_processes, judge_here, judge_many, judge_on_all_cores
from packcheck.files.shipped import schema_folder, shipped_folder
from packcheck.judging import check as check_module
from packcheck.model import opening
from packcheck.render.several_files import Line, render_several

RULES, _ = rules_and_profile(None, None)
FOLDER = shipped_folder("layouts")
FILES = [
    str(FOLDER / name) if name == "absent.yaml" else str(demonstration(name))
    for name in (
        "plover-16/clean-pl-0052.yaml", "plover-16/clean-pl-0052.expect.yaml", "skerry-24/sk-0421-two-links.yaml",
        "plover-16/plover-16.yaml", "absent.yaml", "skerry-24/sk-0440-stopped-for-the-day.yaml",
    )
]  # fmt: skip
FORMS = ("text", "json", "jsonl", "html", "sarif", "junit", "markdown")


def ordered(form: str = "text", patience_s: float = 60.0) -> Order:
    return Order(HeldTo(RULES), form=Form(form, several=True), patience_s=patience_s)


@contextmanager
def spawned() -> Iterator[Executor]:
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        yield pool


@contextmanager
def on_dask() -> Iterator[Executor]:
    distributed = pytest.importorskip("distributed", reason="Dask's distributed is not installed")
    with (
        distributed.LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None) as cluster,
        distributed.Client(cluster) as client,
    ):
        yield client.get_executor(pure=False)


@pytest.mark.parametrize("form", FORMS)
def test_processes_answer_as_one_process_does(form: str) -> None:
    order = ordered(form)
    here, there = list(judge_here(FILES, order)), judge_on_all_cores(FILES, order)
    assert whole(there, order.form, RULES) == whole(here, order.form, RULES)
    assert [one.line for one in there] == [one.line for one in here]
    assert [one.line.code for one in there] == [0, 4, 1, 0, 4, 3]


@pytest.mark.parametrize("executor", [lambda: ThreadPoolExecutor(2), spawned, on_dask], ids=["threads", "new", "dask"])
def test_any_executor_will_do(executor: object) -> None:
    order = ordered("jsonl")
    with executor() as pool:  # type: ignore[operator]
        told = list(judge_many(FILES[:3], order, pool, workers=1))
    assert [one.part for one in told] == [one.part for one in judge_here(FILES[:3], order)]


def judged_by_name(path: Path, **more: object) -> check_module.Judged:
    """Judge by the file's name; some names end the process, or never come to an end."""
    if path.stem == "killer":
        os._exit(9)
    while path.stem == "endless":
        pass
    return fake_judge(path, **more)


def test_a_file_that_ends_its_process_is_told_and_the_others_are_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_module, "judge_file", judged_by_name)
    told = judge_on_all_cores(["clean.yaml", "killer.yaml", "open.yaml", *["broken.yaml"] * 40], ordered())
    assert [one.line.code for one in told] == [0, 5, 3, *[1] * 40]
    assert "was ended from outside" in told[1].part
    assert [one.is_lost for one in told] == [False, True, *[False] * 41]


def test_a_file_that_takes_too_long_is_given_up_and_the_others_are_judged(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(check_module, "judge_file", judged_by_name)
    told = list(judge_here(["clean.yaml", "endless.yaml", "open.yaml"], ordered(patience_s=0.05)))
    assert [one.line.code for one in told] == [0, 5, 3]
    assert "given up after 0.05 s of processor time" in told[1].part
    again = judge_on_all_cores(["endless.yaml", "clean.yaml"], ordered(patience_s=0.05))
    assert [one.line.code for one in again] == [5, 0]


def test_one_file_alone_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    seen: list[float] = []

    def keep(files: list[str], order: Order, _: object) -> Iterator[object]:
        seen.append(order.patience_s)
        return judge_here(files, order)

    monkeypatch.setattr("packcheck.app.check_files.judge_here", keep)
    run(["check", FILES[0]])
    run(["check", FILES[0], FILES[4]])
    assert seen == [0.0, 60.0]


def test_a_layout_is_read_once_in_a_process(monkeypatch: pytest.MonkeyPatch) -> None:
    read: list[str] = []

    def counted(document: object) -> object:
        read.append(document.file)  # type: ignore[attr-defined]
        return once(document)  # type: ignore[arg-type]

    once = opening.read_pack
    monkeypatch.setattr(opening, "read_pack", counted)
    opening._read_layout.cache_clear()
    list(judge_here([FILES[0]] * 3, ordered()))
    assert len(read) == 1


def test_rules_and_profile_travel_as_bytes_that_are_read_once() -> None:
    sent = pickle.dumps(ordered())
    first, second = pickle.loads(sent), pickle.loads(sent)
    assert first.held_to is second.held_to
    assert [rule.name for rule in first.held_to.rules] == [rule.name for rule in RULES]


def test_few_small_files_are_worth_no_other_process(tmp_path: Path) -> None:
    small, large = tmp_path / "small.yaml", tmp_path / "large.yaml"
    small.write_bytes(b"x" * 1_000)
    large.write_bytes(b"x" * 60_000)
    assert not is_worth_processes([str(small)] * 50)
    assert not is_worth_processes([str(large)])
    assert is_worth_processes([str(large)] * 2) == (cores() > 1)
    assert not is_worth_processes([str(large), str(large), "-"])


# -- how it is told --------------------------------------------------------------------------------------------------


def test_the_table_comes_first_and_worst_first(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", *FILES]) == 4
    text = capsys.readouterr().out
    table = text.partition("\n\n")[0].splitlines()
    head = "1 DO NOT ENERGIZE, 2 NOT JUDGED, 1 HOLD, 2 no rule broken"
    assert table[0] == f"6 FILES in {FOLDER.parent}/: {head}"
    firsts = [line.split("  ")[1] for line in table if line.startswith("  ") and not line.startswith("    ")]
    assert firsts == ["DO NOT ENERGIZE", "NOT JUDGED", "NOT JUDGED", "HOLD", "no rule broken", "no rule broken"]
    assert "B06, drawn on P06.B" in table[2]
    assert text.count("=" * 80) == 6


def test_of_many_files_the_table_stands_alone_and_counts_the_clean_ones() -> None:
    clean = [Line(file=f"a/{n:03}.yaml", short="no rule broken") for n in range(30)]
    lines = [*clean, Line(file="a/x.yaml", short="HOLD", worst="torque of B01/P02, not recorded", code=3)]
    text = render_several(lines, width=100)
    assert text.splitlines()[:2] == ["31 FILES in a/: 1 HOLD, 30 no rule broken",
                                     "  HOLD             x.yaml    torque of B01/P02, not recorded"]  # fmt: skip
    assert text.endswith("  and 10 more files with no rule broken; --all names them\n")
    assert render_several(lines, width=100, everything=True).count("no rule broken") == 31


def test_names_in_the_table_steer_no_terminal() -> None:
    text = render_several([Line(file="a\x1b[2J.yaml"), Line(file="b.yaml", worst="x" * 200)], width=80)
    assert "\x1b" not in text
    assert max(map(len, text.splitlines())) <= 80


def test_more_than_a_dozen_files_are_told_in_full_only_if_asked(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(check_module, "judge_file", fake_judge)
    files = ["clean.yaml"] * 13
    assert run(["check", *files]) == 0
    assert "CHECKED" not in capsys.readouterr().out
    assert run(["check", "--all", *files]) == 0
    assert capsys.readouterr().out.count("CHECKED") == 13


def test_each_line_of_jsonl_is_a_report(capsys: pytest.CaptureFixture[str]) -> None:
    schema = json.loads((schema_folder() / "report.json").read_text(encoding="utf-8"))
    run(["check", "--format", "jsonl", *FILES])
    lines = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    for line in lines:
        jsonschema.validate(line, schema)
    assert [line["exit code"] for line in lines] == [0, 4, 1, 0, 4, 3]
    assert [line["files"][0]["file"] for line in lines] == FILES


def test_a_pattern_that_no_shell_replaced_names_its_files(tmp_path: Path) -> None:
    for name in ("a.yaml", "deep/er/b.yaml", "deep/c.txt"):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    (tmp_path / "odd[1].yaml").touch()
    assert files_of(f"{tmp_path}/**/*.yaml") == [
        f"{tmp_path}/a.yaml", f"{tmp_path}/deep/er/b.yaml", f"{tmp_path}/odd[1].yaml",
    ]  # fmt: skip
    assert files_of(f"{tmp_path}/odd[1].yaml") == [f"{tmp_path}/odd[1].yaml"]
    assert files_of(f"{tmp_path}/none*.yaml") == [f"{tmp_path}/none*.yaml"]


def test_the_bar_grows_on_a_terminal_and_is_gone_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    screen = io.StringIO()
    monkeypatch.setattr("sys.stderr", screen)
    bar = Progress(4, is_shown=True)
    for _ in range(2):
        bar.advance(1)
    bar.wipe()
    first, second = screen.getvalue().split("\r")[1:3]
    assert (first, second) == (f"[{'#' * 7}{'.' * 23}] 1 of 4 files", f"[{'#' * 15}{'.' * 15}] 2 of 4 files")
    assert screen.getvalue().endswith("\r")
    silent = Progress(4, is_shown=False)
    silent.advance(4)
    silent.wipe()
    assert screen.getvalue().count("of 4") == 2


def test_a_single_file_is_told_as_ever() -> None:
    alone = replace(ordered(), form=Form("text"))
    (told,) = judge_here(FILES[:1], alone)
    assert whole([told], alone.form, RULES) == told.part
