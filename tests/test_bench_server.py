"""The bench page from the side of the machine: who is let in, what is written, and what becomes of a second tab."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import threading
import warnings
from pathlib import Path
from typing import Any

import pytest
from at_the_bench import ROOT, served
from browser import wait_for

from packcheck.app.arguments import rules_and_profile
from packcheck.app.cli import run
from packcheck.judging.check import check_file
from packcheck.model.opening import Text
from packcheck.rules.findings import Gate

pytest.importorskip("starlette", reason="Starlette is not installed")
with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # which HTTP library the client stands on is no matter here
    from starlette.testclient import TestClient

from packcheck.app.bench.admission import Admission
from packcheck.app.bench.desk import Desk
from packcheck.app.bench.server import application

LAYOUT = ROOT / "tests" / "samples" / "gannet-6.yaml"
RULES, _ = rules_and_profile(None, None)
HOME = "http://localhost:8414"
FROM_PAGE = {"origin": HOME, "content-type": "application/json", "sec-fetch-site": "same-origin"}


def desk_of(record: Path) -> Desk:
    return Desk(Text(LAYOUT.read_bytes(), str(LAYOUT)), record, "GN-1", RULES, None)


def client_of(desk: Desk, *, key: str = "", address: str = "127.0.0.1", home: str = HOME) -> TestClient:
    return TestClient(
        application(desk, Admission(8414, key)), base_url=home, client=(address, 5000), follow_redirects=False
    )


@pytest.fixture
def record(tmp_path: Path) -> Path:
    return tmp_path / "gn-1.yaml"


def told(client: TestClient, version: str, section: str, subject: str, **more: Any) -> Any:
    entry = {"section": section, "subjects": [subject], "by": "MK", "version": version, "mark": "", **more}
    return client.post("/tell", content=json.dumps(entry), headers=FROM_PAGE)


def version_of(client: TestClient) -> str:
    return str(client.get("/state").json()["version"])


# -- who is let in -----------------------------------------------------------------------------------------------------


def test_the_page_brings_everything_along_and_asks_for_nothing_else(record: Path) -> None:
    client = client_of(desk_of(record))
    page = client.get("/")
    assert page.status_code == 200
    policy = page.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "inline" not in policy
    assert "eval" not in policy
    for name in ("/bench.css", "/ink.css", "/bench.js", "/keys.js", "/cards.js", "/dialogs.js"):
        answer = client.get(name)
        assert answer.status_code == 200
        assert "http:" not in answer.text.replace("http://www.w3.org/2000/svg", "")
        assert "innerHTML" not in answer.text
    assert not record.exists(), "to look at a page writes nothing"


@pytest.mark.parametrize("host", ["localhost:8414", "127.0.0.1:8414", "[::1]:8414"])
def test_it_is_called_by_an_address_of_this_machine(record: Path, host: str) -> None:
    assert client_of(desk_of(record)).get("/state", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "host", ["pack.example:8414", "localhost", "localhost:80", "192.0.2.7:8414", "", "127.0.0.1:84140"]
)
def test_another_name_for_this_machine_is_refused(record: Path, host: str) -> None:
    assert client_of(desk_of(record)).get("/state", headers={"host": host}).status_code == 421


def test_another_machine_is_refused_without_the_option(record: Path) -> None:
    assert client_of(desk_of(record), address="192.0.2.7").get("/state").status_code == 403


def test_another_machine_comes_in_once_by_the_key(record: Path) -> None:
    home = "http://192.0.2.1:8414"
    desk = desk_of(record)
    app = application(desk, Admission(8414, "ab12"))
    tablet = TestClient(app, base_url=home, client=("192.0.2.7", 1), follow_redirects=False)
    assert tablet.get("/").status_code == 403
    assert tablet.get("/?key=wrong").status_code == 403
    assert tablet.get("/?key=").status_code == 403
    assert tablet.get("/?key=ab12").status_code == 303
    assert tablet.get("/state").status_code == 200
    other = TestClient(app, base_url=home, client=("192.0.2.8", 1), follow_redirects=False)
    assert other.get("/?key=ab12").status_code == 403
    assert tablet.get("/", headers={"host": "pack.example:8414"}).status_code == 421
    here = {**FROM_PAGE, "origin": home}
    entry = {"section": "notes", "subjects": ["note"], "cells": {"note": "dry"}, "version": version_of(tablet)}
    assert tablet.post("/tell", content=json.dumps(entry), headers=here).status_code == 200


@pytest.mark.parametrize("change", [
    {"origin": "http://pack.example"}, {"origin": "null"}, {"origin": ""}, {"origin": "http://localhost:9000"},
    {"content-type": "text/plain"}, {"content-type": "application/x-www-form-urlencoded"},
    {"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"},
])  # fmt: skip
def test_an_entry_from_another_site_is_refused(record: Path, change: dict[str, str]) -> None:
    client = client_of(desk_of(record))
    entry = {"section": "notes", "subjects": ["n"], "cells": {"note": "dry"}, "version": version_of(client)}
    answer = client.post("/tell", content=json.dumps(entry), headers={**FROM_PAGE, **change})
    assert answer.status_code == 403
    assert not record.exists()


# -- what is written ---------------------------------------------------------------------------------------------------


def test_an_entry_is_in_the_file_when_it_is_answered(record: Path) -> None:
    client = client_of(desk_of(record))
    seen = version_of(client)
    answer = told(client, seen, "modules", "P01", cells={"plus at": "B", "serial": "M-1"}).json()
    view = client.get("/state", params={"since": seen}).json()
    assert [(one["rule"], one["tone"]) for one in view["fresh"]] == [("module-reversed", "stop")]
    assert client.get("/state", params={"since": answer["version"]}).json()["fresh"] == []
    report = check_file(record, rules=RULES, gate=Gate.RELEASE, layout=LAYOUT)
    assert "module-reversed" in {finding.rule for finding in report.judgement.findings}
    assert answer["version"] == view["version"] == version_of(client)
    text = record.read_text()
    assert text.startswith("record: 1\nlayout: gannet-6.yaml\nof: {name: gannet-6, revision: 2, pack: GN-1, sha256: ")
    assert "  P01: {plus at: B, serial: M-1, at: " in text


def test_nobody_who_tells_something_waits_for_a_judgement(record: Path) -> None:
    desk = desk_of(record)
    client = client_of(desk)
    seen = version_of(client)
    with desk._judging:  # as if the record before were still being judged
        answer = told(client, seen, "modules", "P01", cells={"plus at": "B", "serial": "M-1"})
        assert [one["rule"] for one in answer.json()["fresh"]] == ["module-reversed"]
        again = told(client, answer.json()["version"], "modules", "P02", cells={"plus at": "B", "serial": "M-2"})
        assert again.json()["fresh"] == []
    assert "M-1" in record.read_text()
    assert "M-2" in record.read_text()


def test_what_a_hand_wrote_into_the_file_stays_as_it_is(record: Path) -> None:
    by_hand = "# on the tray\nrecord: 1\nlayout: gannet-6.yaml   # ours\nof: {name: gannet-6, revision: 2}\n\n# loose\n"
    by_hand += "modules:\n  P01: {serial: M-1}   # scratched\n\nnotes: [dry, clean]\n"
    record.write_text(by_hand)
    client = client_of(desk_of(record))
    told(client, version_of(client), "modules", "P01", cells={"plus at": "A"})
    told(client, version_of(client), "modules", "P02", cells={"plus at": "B"})
    new = record.read_text().splitlines()
    kept = [line for line in by_hand.splitlines() if "P01" not in line]
    assert [line for line in new if "P0" not in line] == kept
    assert any(
        line.startswith("  P01: {serial: M-1, plus at: {is: A,") and line.endswith("   # scratched") for line in new
    )


def test_two_tabs_do_not_overwrite_each_other(record: Path) -> None:
    client = client_of(desk_of(record))
    seen_by_both = version_of(client)
    assert told(client, seen_by_both, "modules", "P01", cells={"plus at": "A"}).status_code == 200
    before = record.read_bytes()
    second = told(client, seen_by_both, "modules", "P02", cells={"plus at": "B"})
    assert second.status_code == 409
    assert "Not written: the record was changed elsewhere" in second.json()["words"]
    assert record.read_bytes() == before


def test_of_many_tabs_at_once_one_writes(record: Path) -> None:
    desk = desk_of(record)
    client, codes = client_of(desk), []
    seen = version_of(client)

    def write(number: int) -> None:
        answer = told(client_of(desk), seen, "modules", f"P0{number}", cells={"serial": f"M-{number}"})
        codes.append(answer.status_code)

    threads = [threading.Thread(target=write, args=(number,)) for number in range(1, 7)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(codes) == [200] + [409] * 5
    assert record.read_text().count("serial: M-") == 1


def test_an_editor_that_saved_in_between_is_not_overwritten(record: Path) -> None:
    client = client_of(desk_of(record))
    told(client, version_of(client), "modules", "P01", cells={"plus at": "A"})
    seen = version_of(client)
    record.write_text(record.read_text() + "notes: saved in an editor\n")
    assert told(client, seen, "modules", "P02", cells={"plus at": "B"}).status_code == 409
    assert "saved in an editor" in record.read_text()


def test_an_entry_whose_answer_was_lost_is_not_written_twice(record: Path) -> None:
    client = client_of(desk_of(record))
    seen = version_of(client)
    for _ in range(2):
        answer = told(client, seen, "notes", "note", cells={"note": "dry"}, mark="one")
        assert answer.status_code == 200
    assert record.read_text().count("dry") == 1


def test_what_is_told_already_needs_a_reason_and_then_stands_beside_it(record: Path) -> None:
    client = client_of(desk_of(record))
    told(client, version_of(client), "modules", "P01", cells={"plus at": "B"})
    second = told(client, version_of(client), "modules", "P01", cells={"plus at": "A"})
    assert second.status_code == 422
    assert second.json()["refused"] == "told"
    third = told(client, version_of(client), "modules", "P01", cells={"plus at": "A"}, why="turned round")
    assert third.status_code == 200
    assert "plus at: B" in record.read_text()
    report = check_file(record, rules=RULES, gate=Gate.RELEASE, layout=LAYOUT)
    assert [(one.what, one.first, one.later, one.why) for one in report.again] == [
        ("plus at of P01", "B", "A", "turned round")
    ]
    assert not [f for f in report.judgement.findings if f.rule == "module-reversed" and f.outcome.name == "BROKEN"]


@pytest.mark.parametrize(("section", "subject", "cells", "words"), [
    ("joints", "B01/P01", {"torque": "4.5 V"}, "needed"), ("joints", "B01/P09", {"torque": "4.5 N·m"}, "'B01/P09'"),
    ("modules", "P01", {"rest": "7.9 V"}, "instrument"), ("modules", "P01", {"colour": "red"}, "colour"),
    ("bars", "B01", {"lands": ["P01.A"]}, "landing"), ("caps", "P01.A", {"is": "open"}, "open"),
])  # fmt: skip
def test_what_the_record_would_not_be_read_with_is_not_written(
    record: Path, section: str, subject: str, cells: dict[str, Any], words: str
) -> None:
    client = client_of(desk_of(record))
    answer = told(
        client, version_of(client), section, subject, cells=cells, instrument="" if section == "joints" else "V9"
    )
    assert answer.status_code == 422
    assert words in answer.json()["words"]
    assert not record.exists()


@pytest.mark.parametrize("body", [
    b"", b"[]", b"{", b'{"section": "joints"}', b'{"section": "rules", "subjects": ["a"], "cells": {"a": "b"}}',
    b'{"section": "notes", "subjects": [], "cells": {"note": "x"}}',
    b'{"section": "notes", "subjects": ["n"], "cells": {}}',
    b'{"section": "notes", "subjects": ["n"], "cells": {"note": {"a": "b"}}}', b"\xff\xfe",
    b'{"section": "notes", "subjects": [7], "cells": {"note": "x"}}',
    json.dumps({"section": "notes", "subjects": ["n"], "cells": {"note": "x" * 501}}).encode(),
])  # fmt: skip
def test_what_no_page_sends_is_refused(record: Path, body: bytes) -> None:
    assert client_of(desk_of(record)).post("/tell", content=body, headers=FROM_PAGE).status_code == 400
    assert not record.exists()


def test_an_entry_is_short(record: Path) -> None:
    answer = client_of(desk_of(record)).post("/tell", content=b"x" * 70_000, headers=FROM_PAGE)
    assert answer.status_code == 413


def test_texts_cannot_break_out_of_their_cell(record: Path) -> None:
    client = client_of(desk_of(record))
    nasty = 'a"}, x: {b: [1\n# c\t\\ \x1b[31m & *d !e <script>alert(1)</script>'
    assert told(client, version_of(client), "modules", "P01", cells={"serial": nasty}).status_code == 200
    state = client.get("/state").json()
    assert state["last"][0]["value"] == 'a"}, x: {b: [1 # c \\ [31m & *d !e <script>alert(1)</script>'
    assert "<script>" not in client.get("/drawing?parts=P01").text


def test_a_record_that_cannot_be_read_is_said_not_written_over(record: Path) -> None:
    record.write_text("record: 1\nlayout: gannet-6.yaml\nof: {name: gannet-6, revision: 2}\nmodules: [\n")
    client = client_of(desk_of(record))
    assert client.get("/state").status_code == 422
    assert "NOT JUDGED: 1 mistake" in client.get("/state").json()["words"]
    assert told(client, "x", "notes", "n", cells={"note": "dry"}).status_code == 422
    assert record.read_text().endswith("modules: [\n")


def test_the_whole_answer_is_that_of_check(record: Path, capsys: pytest.CaptureFixture[str]) -> None:
    client = client_of(desk_of(record))
    told(client, version_of(client), "modules", "P01", cells={"plus at": "B"})
    answer = client.get("/answer", params={"gate": "fit bars"}).text
    assert run(["check", str(record), "--layout", str(LAYOUT), "--gate", "fit bars"]) == 1
    assert answer.splitlines()[0] == capsys.readouterr().out.splitlines()[0]


# -- the command -------------------------------------------------------------------------------------------------------


def test_a_second_bench_page_for_one_record_is_refused(record: Path) -> None:
    with served(LAYOUT, record, "--port", "0"):
        second = subprocess.run(
            [sys.executable, "-m", "packcheck", "bench", str(LAYOUT), "--record", str(record), "--port", "0"],
            capture_output=True, text=True, cwd=ROOT, check=False, timeout=60,
        )  # fmt: skip
        assert second.returncode == 2
        assert "another bench page has" in second.stderr
    assert not list(record.parent.glob(".*bench"))


def test_it_listens_on_this_machine_alone(record: Path) -> None:
    with served(LAYOUT, record, "--port", "0") as (process, address):
        port = int(address.rstrip("/").rpartition(":")[2])
        listening = f":{port:04X}"
        table = Path("/proc/net/tcp")
        if not table.exists():
            pytest.skip("this system has no table of its sockets to look at")
        lines = wait_for(
            lambda: [li.split() for li in table.read_text().splitlines() if f"{listening} 00000000:0000 0A" in li]
        )
        assert {line[1].partition(":")[0] for line in lines} == {"0100007F"}
        assert process.poll() is None


def test_a_port_that_is_taken_and_a_record_that_cannot_be_read_are_said(
    record: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with served(LAYOUT, record, "--port", "0") as (_, address):
        port = address.rstrip("/").rpartition(":")[2]
        other = record.with_name("other.yaml")
        assert run(["bench", str(LAYOUT), "--record", str(other), "--port", port]) == 2
        assert "name another" in capsys.readouterr().err
    record.write_text("record: 1\n")
    assert run(["bench", str(LAYOUT), "--record", str(record)]) == 4
    assert run(["bench", str(record), "--record", str(record)]) != 0


def test_without_the_extra_it_says_what_to_install(record: Path) -> None:
    program = (
        "import sys; sys.modules['uvicorn'] = None\nfrom packcheck.app.cli import run\n"
        f"sys.exit(run(['bench', {str(LAYOUT)!r}, '--record', {str(record)!r}]))"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, cwd=ROOT, check=False)
    assert told.returncode == 2
    assert "pip install 'packcheck[bench]'" in told.stderr
    assert not os.listdir(record.parent)


def test_what_is_asked_of_a_wrench_is_counted_and_is_written_as_a_count(record: Path) -> None:
    client = client_of(desk_of(record))
    wrench = {"kind": "click wrench", "accuracy": "4 %", "range": "2 N·m to 20 N·m", "due": "2099-01-15"}
    told(client, version_of(client), "instruments", "T1", cells=wrench)
    told(client, version_of(client), "bars", "B01", cells={"is": "as drawn", "condition": "sound"})
    told(client, version_of(client), "joints", "B01/P01", cells={"torque": "4.5 N·m"}, instrument="T1")
    stages = [one["key"] for one in client.get("/state").json()["stages"]]
    cards = [card for key in stages for card in client.get("/state", params={"stage": key}).json()["cards"]]
    asked = {field["column"]: field["kind"] for card in cards if card["subject"] == "T1" for field in card["fields"]}
    assert asked == {"cycles": "count"}
    assert told(client, version_of(client), "instruments", "T1", cells={"cycles": "12"}).status_code == 422
    assert told(client, version_of(client), "instruments", "T1", cells={"cycles": 12}).status_code == 200
    assert "cycles: 12}" in record.read_text()
