"""The exposure as text, JSON and drawings, and the command that prints it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest
from exposure_packs import example_24, small
from workshop import pack_of, write

from packcheck.app.cli import run
from packcheck.exposure.answer import Answer, work_out
from packcheck.exposure.exposed import Asked
from packcheck.files.shipped import schema_folder, shipped_folder
from packcheck.model.pack.order import KINDS
from packcheck.render.exposure_drawing import drawings
from packcheck.render.exposure_json import render_exposure_json
from packcheck.render.exposure_text import render_exposure
from packcheck.render.exposure_words import number

SKERRY = shipped_folder("layouts") / "skerry-24" / "skerry-24.yaml"
SCHEMA = json.loads((schema_folder() / "exposure.json").read_text(encoding="utf-8"))
PERMITTING = re.compile(
    r"\b(safe(?:ly)?|harmless|no danger|not dangerous|permitted|allowed|may be touched|can be touched|go ahead"
    r"|no protection|without risk|no risk|is fine|all clear)\b",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def answer() -> Answer:
    return work_out(pack_of(example_24()), None, Asked(tools_mm=(100.0, 150.0)))


@pytest.mark.parametrize(
    "asked", [Asked(), Asked(caps=False), Asked(earthed="P01.B"), Asked(tools_mm=(30.0,), external_ohm=0.5)]
)
@pytest.mark.parametrize("backwards", [False, True])
def test_no_sentence_sounds_like_permission(asked: Asked, backwards: bool) -> None:
    for layout in (example_24(), small(3, highest_v=9.0)):
        chosen = asked if layout["name"] == "generated" else Asked()
        found = work_out(pack_of(layout), None, chosen, backwards=backwards)
        printed = [render_exposure(found), render_exposure_json(found, version="0")]
        text = " ".join([*printed, *dict(drawings(found)).values()])
        assert PERMITTING.findall(text) == []
        assert "permits nothing" in " ".join(text.lower().split())


def test_permitting_words_are_found() -> None:
    assert PERMITTING.search("below 60 V it is harmless")


def test_text_has_every_step_with_its_figures(answer: Answer) -> None:
    text = render_exposure(answer)
    for exposure in answer.exposures:
        assert re.search(rf"^  {re.escape(exposure.stage.number)} ", text, re.MULTILINE)
    row = next(line for line in text.splitlines() if line.startswith("  4 "))
    assert " ".join(row.split()) == "4 8 6 modules 47.5 / 52.2 779 A / 856 A 9410 W / 11.4 kW A"
    flat = " ".join(text.split())
    for words in (
        "Indicative:",
        "Derived:",
        "at least 4 acts in class B",
        "cover first: CB",
        "class 00; a second person",
        "two sections that float pass no current when they are bridged once",
        "fit gives no sustained arc at 1 mm, break sparks and burns remain",
    ):
        assert words in flat


def test_the_first_line_tells_when_60_v_is_first_passed(answer: Answer) -> None:
    # sections of six sticks of 8.7 V are 52.2 V; the first link makes twelve of them, 104.4 V
    first = " ".join(render_exposure(answer).split("\n\n")[0].split())
    assert first == "60 V is first passed at step 5, with B06: 52.2 V before, 104.4 V after (full cells)"
    document = json.loads(render_exposure_json(answer, version="0"))
    assert document["first above 60 V"] == {"step": "5", "act": "B06", "before V": pytest.approx(52.2),
                                            "after V": pytest.approx(104.4)}  # fmt: skip
    low = work_out(pack_of(small(3, highest_v=9.0)), None, Asked())
    assert render_exposure(low).splitlines()[0] == "60 V is never passed, with full cells"
    assert json.loads(render_exposure_json(low, version="0"))["first above 60 V"] is None
    high = work_out(pack_of(small(3, highest_v=70.0)), None, Asked())
    assert render_exposure(high).startswith("60 V is passed from the start: one module alone has 70.0 V")
    undone = work_out(answer.pack, None, Asked(), backwards=True)
    number_ = next(e.stage.number for e in undone.exposures if "B06" in e.stage.items)
    assert render_exposure(undone).startswith(
        f"60 V is passed until step {number_} is done: only then has every section 52.2 V"
    )


def test_text_keeps_to_the_width(answer: Answer) -> None:
    for width in (80, 100, 120):
        lines = render_exposure(answer, width=width).splitlines()
        assert max(len(line) for line in lines) <= max(width, 96)


def test_json_has_the_documented_shape(answer: Answer) -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    document = json.loads(render_exposure_json(answer, version="0"))
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    assert [step["stage"]["number"] for step in document["steps"]] == [e.stage.number for e in answer.exposures]
    assert document["steps"][4]["largest end to end"]["rest V"] == pytest.approx(47.52)
    assert document["least acts in class B"]["joins"] == 3


def test_json_schema_describes_every_key() -> None:
    def walk(node: object, path: str) -> None:
        if isinstance(node, dict):
            for name, value in node.get("properties", {}).items():
                assert "description" in value or "$ref" in value, f"{path}/{name}"
            for key, value in node.items():
                walk(value, f"{path}/{key}")
        elif isinstance(node, list):
            for value in node:
                walk(value, path)

    walk(SCHEMA, "")


def test_json_schema_knows_every_kind_of_stage() -> None:
    assert tuple(SCHEMA["$defs"]["stage"]["properties"]["kind"]["enum"]) == KINDS


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [(789.47, "A", "789 A"), (9994.0, "W", "9990 W"), (9996.0, "W", "10 kW"), (37620.0, "W", "37.6 kW"),
     (2.9e6, "W", "2.9 MW"), (104.36, "V", "104.4 V"), (0.001, "Ω", "1 mΩ")],
)  # fmt: skip
def test_figures_for_people(value: float, unit: str, text: str) -> None:
    assert number(value, unit) == text


# -- the command -------------------------------------------------------------------------------------------------------


def test_command_prints_the_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["exposure", str(SKERRY), "--tool", "150 mm"]) == 0
    printed = capsys.readouterr().out
    first, _, rest = printed.partition("\n\n")
    words = "60 V is first passed at step 4, with B06: 52.2 V before, 104.4 V after (full cells)"
    assert " ".join(first.split()) == words
    assert rest.startswith("EXPOSURE")
    assert "PROPOSED ORDER" in printed


def test_command_writes_json_and_drawings(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target, folder = tmp_path / "out.json", tmp_path / "svg"
    code = run(
        [
            "exposure",
            str(SKERRY),
            "--format",
            "json",
            "--output",
            str(target),
            "--drawings",
            str(folder),
            "--teardown",
            "--tool",
            "100 mm",
            "--tool",
            "250 mm",
            "--earthed",
            "T00",
            "--external",
            "2 mΩ",
        ]
    )
    assert code == 0
    document = json.loads(target.read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    assert document["asked"] == {"tools mm": [100, 250], "external ohm": 0.002, "earthed": "T00", "caps": "planned"}
    assert document["teardown"]
    bare = sum(bool(step["bare"]) for step in document["steps"])
    assert len(list(folder.iterdir())) == bare + 1 + len(document["steps"])
    assert "drawings" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--tool", "150"], "--tool"), (["--tool", "0 mm"], "above zero"), (["--external", "1 V"], "--external"),
        (["--earthed", "P01.b"], "did you mean 'P01.B'"), (["--caps", "on"], "planned, off"),
        (["--format", "xml"], "text, json"),
        (["--drawings", "/nowhere/at/all"], "cannot make the folder"),
    ],
)  # fmt: skip
def test_command_refuses_what_it_cannot_use(options: list[str], words: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["exposure", str(SKERRY), *options]) == 2
    assert words in capsys.readouterr().err


def test_command_refuses_an_order_of_bars_on_no_face(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    layout = write(tmp_path / "layout.yaml", small(3) | {"order": [["B1"], ["bars on C"]]})
    assert run(["exposure", str(layout)]) == 4
    assert "'bars on C' in step 2 of the order" in capsys.readouterr().err
