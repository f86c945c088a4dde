"""The page of a case: who is let in, what is asked and kept, and how it looks and is used in a browser."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import html5lib
import pytest
from browser import CHROMIUM, Browser, chromium
from test_simulate import layout_of

from packcheck.app.cli import run
from packcheck.app.teaching.folder import PathFile, open_key, stand_again
from packcheck.simulate.asked.question import KINDS

pytest.importorskip("cryptography")
pytest.importorskip("starlette", reason="Starlette is not installed")
with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # which HTTP library the client stands on is no matter here
    from starlette.testclient import TestClient

from packcheck.app.bench.admission import FORMS, Admission
from packcheck.app.teaching.case_page.server import Desk, application

ROOT = Path(__file__).resolve().parents[1]
PASSPHRASE = "the quiet dog counts"
HOME = "http://localhost:8415"
FROM_PAGE = {"origin": HOME, "content-type": "application/x-www-form-urlencoded", "sec-fetch-site": "same-origin"}


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("made")
    (folder / "plover-16.yaml").write_bytes(layout_of("plover-16").content)
    (folder / "words").write_text(PASSPHRASE, encoding="utf-8")
    wanted = ["--cases", "2", "--pairs", "0", "--healthy", "0", "--passphrase", str(folder / "words")]
    assert run(["lesson", "make", str(folder / "plover-16.yaml"), "--output", str(folder / "lesson"), *wanted]) == 0
    return folder / "lesson"


@pytest.fixture
def lesson(made: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(made, tmp_path / "lesson"))


def file_of(lesson: Path, by: str = "MK") -> PathFile:
    return PathFile(lesson, open_key(lesson, "case-01", PASSPHRASE), by)


def client_of(lesson: Path, *, key: str = "", address: str = "127.0.0.1", home: str = HOME) -> TestClient:
    file = file_of(lesson)
    app = application(Desk(stand_again(lesson, file.key), file), Admission(8415, key, FORMS))
    return TestClient(app, base_url=home, client=(address, 5000), follow_redirects=False)


def asked(client: TestClient, kind: str, *names: str, **more: str) -> tuple[int, str]:
    answer = client.post("/ask", data={"kind": kind, "name": list(names), **more}, headers=FROM_PAGE)
    return answer.status_code, answer.headers.get("location", answer.text)


# -- who is let in -----------------------------------------------------------------------------------------------------


def test_the_page_allows_its_browser_nothing_but_its_own_style_and_forms(lesson: Path) -> None:
    page = client_of(lesson).get("/")
    assert page.status_code == 200
    policy = page.headers["content-security-policy"]
    assert policy == (
        "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    )
    assert page.headers["cache-control"] == "no-store"
    assert "<script" not in page.text
    assert "style=" not in page.text
    assert "<style" not in page.text
    assert not list(lesson.glob("*.path.yaml")), "to look at a page writes nothing"


@pytest.mark.parametrize("host", ["pack.example:8415", "localhost", "localhost:80", "192.0.2.7:8415", ""])
def test_another_name_for_this_machine_is_refused(lesson: Path, host: str) -> None:
    assert client_of(lesson).get("/", headers={"host": host}).status_code == 421


def test_another_machine_comes_in_once_by_the_key(lesson: Path) -> None:
    assert client_of(lesson, address="192.0.2.7").get("/").status_code == 403
    home = "http://192.0.2.1:8415"
    tablet = client_of(lesson, key="ab12", address="192.0.2.7", home=home)
    assert tablet.get("/?key=wrong").status_code == 403
    assert tablet.get("/?key=ab12").status_code == 303
    assert tablet.get("/").status_code == 200
    here = {**FROM_PAGE, "origin": home}
    assert tablet.post("/ask", data={"kind": "look", "name": "P01"}, headers=here).status_code == 303
    other = TestClient(tablet.app, base_url=home, client=("192.0.2.8", 1), follow_redirects=False)
    assert other.get("/?key=ab12").status_code == 403


@pytest.mark.parametrize("change", [
    {"origin": "http://pack.example"}, {"origin": "null"}, {"origin": ""}, {"content-type": "application/json"},
    {"content-type": "text/plain"}, {"content-type": "multipart/form-data"}, {"sec-fetch-site": "cross-site"},
])  # fmt: skip
def test_a_question_from_another_page_is_refused(lesson: Path, change: dict[str, str]) -> None:
    answer = client_of(lesson).post("/ask", content=b"kind=look&name=P01", headers={**FROM_PAGE, **change})
    assert answer.status_code == 403
    assert not list(lesson.glob("*.path.yaml"))


# -- what is asked and kept --------------------------------------------------------------------------------------------


def test_a_question_is_answered_kept_and_shown_with_what_is_left(lesson: Path) -> None:
    client = client_of(lesson)
    assert asked(client, "volts", "S01", "S00", state="plug out") == (303, "/#q1")
    (one,) = file_of(lesson).read().asked
    page = client.get("/").text
    assert one.question in page
    assert one.reads in page.replace("\u00a0", " ")
    assert "MK: 9 of 10 points left for questions" in page.replace("\u00a0", " ")
    assert asked(client, "volts", "S01", "S00", state="plug out") == (303, "/#q1"), "the same again costs nothing"
    assert len(file_of(lesson).read().asked) == 1


def test_what_cannot_be_asked_is_said_over_the_forms_and_costs_nothing(lesson: Path) -> None:
    client = client_of(lesson)
    code, page = asked(client, "volts", "S01", "S01", state="plug out")
    assert code == 422
    assert "needed two places" in page
    code, page = asked(client, "look", "<script>alert(1)</script>")
    assert code == 422
    assert "<script" not in page
    for dear in ("P01", "P02"):
        assert asked(client, "capacity", dear)[0] == 303
    code, page = asked(client, "capacity", "P03")
    assert code == 422
    assert "found 2 of 10 points left, needed 4" in page.replace("\u00a0", " ")
    assert re.search(r'<button type="submit" disabled>Ask capacity', page)
    assert re.search(r'<button type="submit">Ask look', page)
    assert re.search(r'<details open id="ask-capacity">', page), "the form of what was meant stands open"
    assert file_of(lesson).read().points == 8


@pytest.mark.parametrize("body", [
    b"", b"kind=", b"kind=look", b"name=P01", b"kind=look&name=P01&name=P02", b"kind=look&name=%FF%FE",
    b"kind=look&" + b"name=P01&" * 50, b"\xff\xfe", b"kind=isolation&state=live&name=poles&name=poles",
    b"kind=look&name=" + b"x" * 3000, b"&&&=&",
])  # fmt: skip
def test_hostile_forms_are_refused_and_write_nothing(lesson: Path, body: bytes) -> None:
    answer = client_of(lesson).post("/ask", content=body, headers=FROM_PAGE)
    assert answer.status_code in (400, 422)
    assert len(answer.text) < 400_000
    assert not list(lesson.glob("*.path.yaml"))


def test_a_long_body_is_not_read_as_a_question(lesson: Path) -> None:
    assert client_of(lesson).post("/ask", content=b"x" * 5000, headers=FROM_PAGE).status_code == 413


def test_two_questions_at_once_are_both_kept(lesson: Path) -> None:
    client = client_of(lesson)
    threads = [threading.Thread(target=asked, args=(client, "look", f"P0{i}")) for i in range(1, 6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(one.question for one in file_of(lesson).read().asked) == [f"look P0{i}" for i in range(1, 6)]


def test_a_path_that_was_changed_is_told_and_nothing_is_answered(lesson: Path) -> None:
    client = client_of(lesson)
    asked(client, "look", "P01")
    file = file_of(lesson).file
    file.write_text(file.read_text(encoding="utf-8").replace('"points": 1', '"points": 0'), encoding="utf-8")
    for answer in (client.get("/"), client.post("/ask", data={"kind": "look", "name": "P02"}, headers=FROM_PAGE)):
        assert answer.status_code == 422
        assert "a line that is not as it was written" in answer.text


def test_nothing_of_the_key_is_on_the_page(lesson: Path) -> None:
    client = client_of(lesson)
    key = open_key(lesson, "case-01", PASSPHRASE)
    (fault,) = key.holds["faults"]
    asked(client, "look", "P01")
    page = client.get("/").text
    record = client.get("/record").text
    assert record == (lesson / "case-01.yaml").read_text(encoding="utf-8")
    for text in (page, record):
        assert key.holds["seed"] not in text
        assert key.secret.hex() not in text
        assert fault["looks"] not in text
    assert page.count(fault["title"]) == 1, "in the list of all causes, as every other one"


def test_every_kind_has_a_form_whose_fields_have_labels(lesson: Path) -> None:
    client = client_of(lesson)
    tree = html5lib.parse(client.get("/").text, namespaceHTMLElements=False)
    forms = {form.find("input").get("value"): form for form in tree.iter("form")}
    case = stand_again(lesson, file_of(lesson).key)
    assert set(forms) == {word for word, kind in KINDS.items() if kind.names(case.bench)}
    for word, form in forms.items():
        labels = {label.get("for") for label in form.iter("label")}
        fields = {field.get("id") for field in form.iter("select")}
        assert labels == fields, word
        assert len(fields) == KINDS[word].count + KINDS[word].in_state
    ids = [one.get("id") for one in tree.iter() if one.get("id")]
    assert len(ids) == len(set(ids))


# -- in a browser ------------------------------------------------------------------------------------------------------


@contextmanager
def served(lesson: Path) -> Iterator[str]:
    """Run the page of the first case; yield its address."""
    named = [str(lesson / "case-01.yaml"), "--by", "MK", "--port", "0"]
    process = subprocess.Popen(
        [sys.executable, "-m", "packcheck", "lesson", "page", *named],
        stdout=subprocess.PIPE, text=True, cwd=ROOT, env={**os.environ, "PACKCHECK_PASSPHRASE": PASSPHRASE},
    )  # fmt: skip
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        yield line.split()[-1]
    finally:
        process.terminate()
        assert process.wait(20) == 0


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    pytest.importorskip("websockets", reason="websockets is not installed, by which Chromium is driven")
    with chromium() as running:
        yield running


@pytest.mark.chromium
@pytest.mark.skipif(not CHROMIUM, reason="Chromium is not installed")
@pytest.mark.parametrize(("width", "height"), [(1280, 900), (390, 844)], ids=["desk", "phone"])
def test_asked_by_touch_at_desk_and_phone_width(browser: Browser, lesson: Path, width: int, height: int) -> None:
    pytest.importorskip("uvicorn", reason="uvicorn is not installed")
    with served(lesson) as address:
        page = browser.page()
        page.size(width, height)
        page.open(address)
        assert page.run("document.documentElement.scrollWidth") == width, "nothing hangs over the side"
        page.tap("#ask-look summary")
        sizes = page.run(
            "[...document.querySelectorAll('summary, form button, form select, nav a')].filter(e => e.offsetParent)"
            ".map(e => e.getBoundingClientRect()).map(b => [b.width, b.height])"
        )
        assert len(sizes) > 15
        assert min(min(size) for size in sizes) >= 43, "a finger finds them: 44 px, one of it the edge"
        page.run("document.querySelector('#look-0').value = 'P05'")
        page.tap("#ask-look button")
        page.until("location.hash === '#q1' && document.readyState === 'complete'")
        assert "look P05" in page.text("#q1")
        assert "9 of 10" in page.text("#left")
        shown = page.run("[...document.querySelectorAll('.drawing')].filter(e => e.offsetParent).length")
        assert shown == 1, "one drawing, for this width"
        fill = "getComputedStyle(document.querySelector('.drawing .module rect, .drawing .module path')).fill"
        assert page.run(fill) != "rgb(0, 0, 0)", "the drawing has its style, though none stands in it"
        page.close()
    assert browser.complaints() == []
    assert {url for url in browser.requested() if "localhost" not in url and url != "about:blank"} == set()


@pytest.mark.chromium
@pytest.mark.skipif(not CHROMIUM, reason="Chromium is not installed")
def test_asked_with_keys_alone(browser: Browser, lesson: Path) -> None:
    pytest.importorskip("uvicorn", reason="uvicorn is not installed")
    with served(lesson) as address:
        page = browser.page()
        page.size(1280, 900, touch=False)
        page.open(address)

        def press(key: str, code: int, text: str = "") -> None:
            for kind in ("keyDown", "keyUp"):
                page.call("Input.dispatchKeyEvent", type=kind, key=key, code=key, windowsVirtualKeyCode=code,
                          **({"text": text} if text and kind == "keyDown" else {}))  # fmt: skip

        def at() -> str:
            return str(page.run("(e => e.id || e.parentElement?.id || e.textContent)(document.activeElement)"))

        for _ in range(60):
            press("Tab", 9)
            if at() == "ask-count":
                break
        assert at() == "ask-count"
        press("Enter", 13, "\r")
        press("Tab", 9)
        assert at() == "count-0"
        press("ArrowDown", 40)
        assert page.run("document.querySelector('#count-0').value") == "bars"
        press("Tab", 9)
        press("Enter", 13, "\r")
        page.until("location.hash === '#q1' && document.readyState === 'complete'")
        (one,) = file_of(lesson).read().asked
        assert f"count bars: {one.reads}" in page.text("#q1").replace("\u00a0", " ")
        page.close()


@pytest.mark.chromium
@pytest.mark.skipif(not CHROMIUM, reason="Chromium is not installed")
@pytest.mark.parametrize("dark", [False, True], ids=["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390], ids=["desk", "phone"])
def test_the_page_is_accessible(lesson: Path, dark: bool, width: int) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    playwright = pytest.importorskip("playwright.sync_api")
    with served(lesson) as address, playwright.sync_playwright() as tool:
        running = tool.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        colours = "dark" if dark else "light"
        context = running.new_context(viewport={"width": width, "height": 900}, color_scheme=colours, bypass_csp=True)
        page = context.new_page()
        page.goto(f"{address}#ask-volts")
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        assert [one["id"] for one in axe.Axe().run(page).response["violations"]] == []
        running.close()


def test_without_what_serves_pages_it_says_how_to_get_it(lesson: Path) -> None:
    script = (
        "import sys; sys.modules['uvicorn'] = None\nfrom packcheck.app.cli import run\n"
        f"sys.exit(run(['lesson', 'page', {str(lesson / 'case-01.yaml')!r}, '--by', 'MK']))"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, cwd=ROOT,
                          env={**os.environ, "PACKCHECK_PASSPHRASE": PASSPHRASE})  # fmt: skip
    assert done.returncode == 2
    assert "packcheck[bench]" in done.stderr
