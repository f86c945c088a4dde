"""The page of the report: valid, closed to the outside, escaped, complete, in the words of the terminal."""

from __future__ import annotations

import re
from base64 import b64encode
from hashlib import sha256
from math import pi, sqrt
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest
from faulty_builds import shipped_rules
from html_pages import HOSTILE, HOSTILE_NAME, LAYOUTS, SHIPPED, file_named, hostile_files, page_of, parsed, words_of
from svg_pages import contrast

from packcheck.app.cli import run
from packcheck.judging.check import check_file, judge_file
from packcheck.judging.dossier import Dossier, compose_dossier
from packcheck.judging.working import Working
from packcheck.render.drawing import ink
from packcheck.render.html.closed_page import DARK, EDGE_ON, LIGHT, TYPE_ON
from packcheck.render.html.element import element, said
from packcheck.render.paragraph import Choice
from packcheck.render.terminal import render_terminal
from packcheck.rules.findings import Gate

SECTIONS = {
    "drawing", "findings", "to-do", "measured", "joints", "ledger", "exposure", "instruments", "limits", "working",
    "told", "checked", "cautions", "files",
}  # fmt: skip


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    found = {name: page_of(files, tmp_path_factory.mktemp("page")) for name, files in SHIPPED.items()}
    folder = tmp_path_factory.mktemp("hostile")
    return found | {"hostile": page_of((str(hostile_files(folder)),), folder)}


CASES = [*SHIPPED, "hostile"]


# -- a page that can be trusted --------------------------------------------------------------------------------------


@pytest.mark.parametrize("case", CASES)
def test_a_strict_parser_finds_no_mistake(pages: dict[str, str], case: str) -> None:
    assert words_of(parsed(pages[case])).startswith("packcheck: ")


@pytest.mark.parametrize("case", CASES)
def test_it_asks_for_nothing_from_outside_and_runs_nothing_but_its_own_script(pages: dict[str, str], case: str) -> None:
    tree = parsed(pages[case])
    kinds = {one.tag for one in tree.iter() if isinstance(one.tag, str)}
    assert kinds.isdisjoint({"img", "iframe", "object", "embed", "link", "form", "base", "audio", "video", "image"})
    assert len(list(tree.iter("script"))) == len(list(tree.iter("style"))) == 1
    for one in tree.iter():
        assert not [key for key in one.attrib if key.startswith("on") or key in ("style", "src", "srcset")]
        assert all(value.startswith("#") for key, value in one.attrib.items() if key.endswith("href"))
    assert "url(" not in pages[case].replace("url(#hatch)", "").replace("url(#open)", "")


@pytest.mark.parametrize("case", CASES)
def test_its_policy_allows_its_own_style_and_script_by_their_hashes_alone(pages: dict[str, str], case: str) -> None:
    tree = parsed(pages[case])
    policy = next(m.get("content", "") for m in tree.iter("meta") if m.get("http-equiv"))
    allowed = dict(part.strip().split(" ", 1) for part in policy.split(";"))
    for kind in ("style", "script"):
        (inside,) = re.findall(f"<{kind}>(.*?)</{kind}>", pages[case], re.DOTALL)
        assert allowed[f"{kind}-src"] == f"'sha256-{b64encode(sha256(inside.encode()).digest()).decode()}'"
    assert allowed["default-src"] == allowed["base-uri"] == allowed["form-action"] == "'none'"
    assert len(allowed) == 5


@pytest.mark.parametrize("case", CASES)
def test_every_address_in_it_leads_somewhere_and_is_there_once(pages: dict[str, str], case: str) -> None:
    tree = parsed(pages[case])
    names = [one.get("id") for one in tree.iter() if one.get("id")]
    assert len(names) == len(set(names))
    links = {value[1:] for one in tree.iter() for key, value in one.attrib.items() if key.endswith("href")}
    assert links <= set(names)
    assert len(links) >= 8


def test_what_files_say_is_shown_and_never_obeyed(pages: dict[str, str]) -> None:
    shown = HOSTILE.replace('\\"', '"')
    words = words_of(parsed(pages["hostile"]))
    assert words.count(shown) >= 2, "in the head, and among the notes"
    assert HOSTILE_NAME.replace("\u202e", "<202E>") in words
    assert not re.search("[\u202a-\u202e\u2066-\u2069\u200e\u200f]", pages["hostile"])


def test_elements_escape_what_they_hold_and_refuse_what_runs() -> None:
    assert (
        element("p", "<b>&", element("i", "x"), title="\"'<")
        == '<p title="&quot;&#x27;&lt;">&lt;b&gt;&amp;<i>x</i></p>'
    )
    assert said("`a<b` is") == "<code>a&lt;b</code> is"
    assert said("a ` b") == "a ` b"
    for bad in ({"onclick": "x"}, {"style": "color:red"}, {"a b": "x"}):
        with pytest.raises(ValueError, match="no attribute"):
            element("p", **bad)


# -- what it tells ---------------------------------------------------------------------------------------------------


def sections_of(tree: Element) -> dict[str, Element]:
    return {one.get("id", ""): one for one in tree.iter("section")}


def test_it_has_every_part_of_the_report_and_hashes_come_last(pages: dict[str, str]) -> None:
    found = sections_of(parsed(pages["loop"]))
    assert set(found) == SECTIONS
    assert list(found)[-2:] == ["cautions", "files"]
    layout = sections_of(parsed(pages["layout"]))
    assert set(layout) == {"drawing", "findings", "exposure", "limits", "working", "checked", "cautions", "files"}


@pytest.mark.parametrize("case", ["loop", "hold", "clean", "layout", "unrecorded"])
def test_it_says_what_the_terminal_says(pages: dict[str, str], case: str) -> None:
    report = check_file(file_named(SHIPPED[case][0]), rules=shipped_rules())
    words = words_of(parsed(pages[case])).replace(" ", "")
    text = render_terminal(report, width=120, choice=Choice(everything=True))
    told = re.sub(r"and \d+ more findings? below", "", text.partition("CHECKED")[0])
    pieces = re.split(r"\n(?=\s*(?:\d+\. |- |\[ \] |Do now|[A-Z][a-z]+ {2,}|[A-Z]{3}))|\n\n", told)
    checked = 0
    for piece in pieces:
        plain = re.sub(r"^\s*(?:\d+\. |- |\[ \] |Do now +|[A-Z][a-z]+ {2,})", "", piece).replace("`", "")
        sentence = "".join(plain.split())
        if sentence.startswith(("TODO", "ADVICE", "THEDRAWING", "INDETAIL", "Recorditwhere")) or not sentence:
            continue
        for half in re.split(r"\n {13}", plain):
            checked += 1
            assert "".join(half.split()) in words, half
    assert checked >= 2


def test_marks_lead_to_cards_cards_to_findings_and_findings_back(pages: dict[str, str]) -> None:
    tree = parsed(pages["loop"])
    by_name = {one.get("id"): one for one in tree.iter() if one.get("id")}
    marks = [one for one in tree.iter() if one.get("href", "").startswith(("#c1", "#c2", "#c3"))]
    assert len(marks) >= 2
    for mark in marks:
        card = by_name[mark.get("href", "")[1:]]
        links = {a.get("href", "") for a in card.iter("a")}
        assert any(re.fullmatch(r"#f\d+", link) for link in links)
        assert any(re.fullmatch(r"#m\d+", link) for link in links)
    assert any(a.get("href") == "#m1" for a in by_name["f1"].iter("a"))
    assert by_name["m1"].get("href", "").startswith("#c1")


def test_rows_lead_to_the_findings_about_them_and_a_wrench_is_no_lead(pages: dict[str, str]) -> None:
    found = sections_of(parsed(pages["loop"]))
    ledger = {words_of(next(row.iter("th"))): row for row in found["ledger"].iter("tr")}
    assert [a.get("href") for a in ledger["nut-m5"].iter("a")] == ["#f1"]
    assert [a for row in found["instruments"].iter("tr") for a in row.iter("a")] == []


def test_what_a_reading_may_be_off_is_what_its_rules_allow(pages: dict[str, str]) -> None:
    rows = {words_of(next(row.iter("th"))): [words_of(cell) for cell in row.iter("td")]
            for row in sections_of(parsed(pages["loop"]))["measured"].iter("tr")}  # fmt: skip
    cell_v = (7.5 + 8.4) / 2 / 6
    assert rows["X1"][5] == f"{max(12 * 0.005 + 0.02, 0.25 * cell_v):.3f} V"
    assert rows["half B"][5] == f"{72 * 0.005 + 0.02:.2f} V"
    assert rows["X6"][3] == "nothing joins them"
    assert rows["X6"][5] == "1 V"


def test_limits_name_who_adopted_them(tmp_path: Path) -> None:
    profile = LAYOUTS / "workshop-profile.yaml"
    page = page_of(("skerry-24/clean-sk-0417.yaml",), tmp_path, "--profile", str(profile))
    report = judge_file(LAYOUTS / "skerry-24/clean-sk-0417.yaml", rules=shipped_rules(), gate=Gate.PLUG_IN).report
    words = words_of(sections_of(parsed(page))["limits"])
    adopted = re.findall(r"(\d+) adopted by this shop", words)
    assert adopted
    assert int(adopted[0]) >= 1
    assert "nobody: your responsible engineer adopts or replaces it" in words
    assert len(report.limits) >= 10


def test_several_files_share_a_page_and_one_that_cannot_be_read_says_why(pages: dict[str, str]) -> None:
    tree = parsed(pages["several"])
    first = [words_of(one) for one in next(tree.iter("header")).iter("li")]
    assert len(first) == 3
    assert "HOLD" in first[0]
    assert "NOT JUDGED" in first[2]
    assert "no such file" in words_of(tree)


def test_a_page_of_ours_is_written_over_and_another_one_is_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    record, target = str(LAYOUTS / "plover-16/clean-pl-0052.yaml"), tmp_path / "page.html"
    command = ["check", record, "--format", "html", "-o", str(target)]
    assert run(command) == run(command) == 0
    target.write_text("<!DOCTYPE html>\n<html lang=en><head><title>mine</title></head></html>", encoding="utf-8")
    assert run(command) == 2
    assert "did not write it" in capsys.readouterr().err


# -- the look --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_type_and_edges_stand_out_from_their_grounds(colours: dict[str, str]) -> None:
    assert set(LIGHT) == set(DARK)
    for name, grounds in TYPE_ON.items():
        assert [g for g in grounds if contrast(colours[name], colours[g]) < 4.5] == [], name
    for name, grounds in EDGE_ON.items():
        assert [g for g in grounds if contrast(colours[name], colours[g]) < 3] == [], name


def test_inks_of_the_drawing_stand_out_in_the_dark_too() -> None:
    for colour, grounds in ink.TEXT_ON.items():
        for ground in grounds:
            assert contrast(ink.in_dark(colour), ink.in_dark(ground)) >= 4.5, (colour, ground)
    assert set(re.findall(r"#[0-9a-f]{6}\b|#fff\b|#000\b", ink.STYLE)) <= set(ink.IN_DARK)


# -- the working -----------------------------------------------------------------------------------------------------

PREFIX = {"µΩ": 1e-6, "mΩ": 1e-3, "kΩ": 1e3, "mV": 1e-3, "mA": 1e-3, "kA": 1e3, "kW": 1e3}
CREEPAGE_ROWS = {(2, "IIIa"): ((50, 1.2), (63, 1.25), (80, 1.3), (100, 1.4), (125, 1.5), (160, 1.6), (200, 2.0),
                               (250, 2.5), (320, 3.2), (400, 4.0), (500, 5.0))}  # fmt: skip
"""IEC 60664-1 table F.4 as printed: voltage and creepage in millimetres."""


def reckoned(name: str, n: dict[str, float], words: str) -> float:
    """Return the result of a formula, in plain arithmetic."""
    match name:
        case "Current of a short circuit":
            return n["E"] / (n["R"] + n["R_out"])
        case "Resistance of the path between the mains":
            return n["R_modules"] + n["R_joints"] + n["R_devices"]
        case "Greatest power into an arc or a poor contact":
            return n["E"] ** 2 / 4 / n["R"]
        case "Current in a closed loop":
            return n["V"] / n["R"]
        case "Heat in a closed loop":
            return n["I"] ** 2 * n["R"]
        case "Current at the moment members are joined in parallel":
            return abs(n["V"] - n["V_rest"]) / (n["r"] + n["R_rest"])
        case "Voltage expected at a reading":
            return sum(n.values())
        case "Uncertainty of a reading":
            return n["a"] * abs(n["x"]) + n["b"]
        case "Voltage across a gap":
            return abs(n["V_a"] - n["V_b"])
        case "Creepage distance needed":
            assert "pollution degree 2, material group IIIa" in words
            return next(mm for volts, mm in CREEPAGE_ROWS[2, "IIIa"] if n["V"] <= volts)
        case "Clamp load of a joint":
            return 1000 * n["T"] / (n["K"] * n["d"])
        case "Stress area of a thread":
            return pi / 4 * (n["d"] - 0.9382 * n["p"]) ** 2
        case "Proof load of a thread":
            return n["A"] * n["S"]
        case "Clamp load as a share of the proof load":
            return n["F"] / n["F_p"]
        case "Lowest torque a tool is fit for":
            return max(0.2 * n["T_max"], n["T_mark"])
        case "Current that melts a sense wire":
            return 10244 * (n["d"] / 25.4) * sqrt(n["d"] / 25.4)
    raise AssertionError(name)


def numbers_in(words: str) -> dict[str, float]:
    """Return the numbers of ``E = 208.8 V, R = 20.6 mΩ`` by their symbols, in units without a prefix."""
    found = {}
    for symbol, number, unit in re.findall(r"([\w.-]+) = ([−\d.]+)(?: ([^\s,()]+))?", words):
        found[symbol] = float(number.replace("−", "-")) * PREFIX.get(unit, 1.0)
    return found


def test_every_number_shown_can_be_reckoned_again_from_what_stands_beside_it(pages: dict[str, str]) -> None:
    seen: dict[str, int] = {}
    for case in ("loop", "hold", "clean", "layout", "unrecorded"):
        for formula in sections_of(parsed(pages[case]))["working"].iter("details"):
            name = words_of(next(formula.iter("summary"))).rpartition(" (")[0]
            for row in list(formula.iter("tr"))[1:]:
                given, result = (words_of(cell) for cell in row.iter("td"))
                (value,) = numbers_in(result).values()
                assert reckoned(name, numbers_in(given), given) == pytest.approx(value, rel=1e-5, abs=1e-9), (
                    given,
                    result,
                )
                seen[name] = seen.get(name, 0) + 1
    assert len(seen) == 16, "each formula of the table is used by a shipped file"
    assert sum(seen.values()) >= 200


def dossier(name: str) -> Dossier:
    return compose_dossier(judge_file(file_named(name), rules=shipped_rules(), gate=Gate.PLUG_IN))


def of(found: Dossier, name: str) -> list[Working]:
    return [one for one in found.workings if one.formula.name == name]


def test_results_of_the_working_are_the_facts_that_were_judged() -> None:
    found = dossier("skerry-24/clean-sk-0417.yaml")
    facts = found.judged.facts
    (short,) = [one for one in of(found, "Current of a short circuit") if one.about == "a short between the mains"]
    assert short.result.value == facts["pack"][0].values["prospective_a"]
    loads = [one.result.value for one in of(found, "Clamp load of a joint")]
    assert loads == [row.values["clamp_load_at_high_n"] for row in facts["joint_type"]]
    heron = dossier("heron-2x15/hr-0008-column-two.yaml")
    assert of(heron, "Resistance of the path between the mains") == [], "two strings in parallel are no sum"
