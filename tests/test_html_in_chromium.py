"""The page of the report in a real browser: accessible, quiet, narrow enough, readable without a script, printable."""

from __future__ import annotations

import importlib.util
import shutil
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from html_pages import SHIPPED, page_of

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

CHROMIUM = shutil.which("chromium")
MODULES = ("playwright", "axe_playwright_python", "pypdf")
pytestmark = [
    pytest.mark.chromium,
    pytest.mark.skipif(CHROMIUM is None, reason="chromium is not on the path (Debian package chromium)"),
    pytest.mark.skipif(any(importlib.util.find_spec(name) is None for name in MODULES),
                       reason=f"one of {', '.join(MODULES)} is not installed"),
]  # fmt: skip
ARGUMENTS = ["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
             "--disable-component-update", "--disable-sync"]  # fmt: skip
DESK, PHONE = {"width": 1280, "height": 900}, {"width": 390, "height": 844}
CASES = ("loop", "hold", "layout", "unrecorded", "several")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as found:
        opened = found.chromium.launch(executable_path=CHROMIUM, args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def addresses(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    found = {}
    for case in CASES:
        folder: Path = tmp_path_factory.mktemp(case)
        page_of(SHIPPED[case], folder)
        found[case] = (folder / "page.html").as_uri()
    return found


def opened(browser: Browser, address: str, size: dict[str, int], **more: Any) -> tuple[Page, list[str]]:
    """Return a page and what it complained of or asked for, from the outside or of its policy."""
    page, told = browser.new_context(viewport=size, **more).new_page(), list[str]()  # type: ignore[arg-type]
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("request", lambda request: told.append(request.url) if request.url != address else None)
    page.goto(address)
    return page, told


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("case", CASES)
def test_an_accessibility_checker_finds_no_violation(
    browser: Browser, addresses: dict[str, str], case: str, size: dict[str, int]
) -> None:
    page, _ = opened(browser, addresses[case], size, color_scheme="light", bypass_csp=True)
    assert len(violations_none(page)["passes"]) >= 20
    page.context.close()


@pytest.mark.parametrize("case", CASES)
def test_in_the_dark_every_type_stands_out_from_its_ground(
    browser: Browser, addresses: dict[str, str], case: str
) -> None:
    """Colours do not hang on the width of a page, and nothing else of it hangs on its colours."""
    page, _ = opened(browser, addresses[case], DESK, color_scheme="dark", bypass_csp=True)
    (passed,) = violations_none(page, runOnly=["color-contrast"])["passes"]
    assert passed["nodes"]
    page.context.close()


def violations_none(page: Page, **options: Any) -> dict[str, Any]:
    """Return what a checker of pages says, in which nothing is violated."""
    from axe_playwright_python.sync_playwright import Axe

    results: dict[str, Any] = Axe().run(page, options={"resultTypes": ["violations"], **options}).response
    assert [(one["id"], [node["html"][:200] for node in one["nodes"]]) for one in results["violations"]] == []
    return results


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("case", CASES)
def test_nothing_but_tables_scrolls_sideways_and_nothing_is_asked_for_or_refused(
    browser: Browser, addresses: dict[str, str], case: str, size: dict[str, int]
) -> None:
    page, told = opened(browser, addresses[case], size)
    assert page.evaluate("document.documentElement.scrollWidth") == size["width"]
    assert told == []
    wide = page.evaluate(
        "[...document.querySelectorAll('body *')].filter(e => e.scrollWidth > e.clientWidth + 1 && e.clientWidth"
        " && getComputedStyle(e).overflowX === 'auto').map(e => e.className)"
    )
    assert set(wide) <= {"box"}
    page.context.close()


def test_a_mark_opens_its_card_and_the_card_its_finding_without_a_script(
    browser: Browser, addresses: dict[str, str]
) -> None:
    page, _ = opened(browser, addresses["loop"], DESK, java_script_enabled=False)
    card = page.locator("aside.card").first
    assert not card.is_visible()
    page.locator(".wide a[href='#c1']").first.click()
    assert page.locator("#c1").is_visible()
    assert "loop of P12, P13" in page.locator("#c1").inner_text()
    page.locator("#c1 a[href='#f1']").click()
    assert not page.locator("#c1").is_visible()
    assert page.locator("#f1 dl").is_visible()
    page.locator("#f1 a[href='#m1']").click()
    assert page.url.endswith("#m1")


def test_keys_alone_reach_a_mark_and_open_what_is_folded(browser: Browser, addresses: dict[str, str]) -> None:
    page, _ = opened(browser, addresses["loop"], DESK)
    reached = False
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("(document.activeElement.getAttribute('href') || '')") == "#c1":
            reached = True
            break
    assert reached
    page.keyboard.press("Enter")
    assert page.locator("#c1").is_visible()
    assert not page.locator("#f4 dl").is_visible()
    page.locator("#f4 > summary").focus()
    page.keyboard.press("Enter")
    assert page.locator("#f4 dl").is_visible()


@pytest.mark.parametrize(("paper", "size_pt"), [("A4", (595.3, 841.9)), ("Letter", (612.0, 792.0))])
@pytest.mark.parametrize(("case", "most"), [("loop", 14), ("layout", 9)])
def test_it_prints_on_whole_sheets_with_everything_that_was_folded(
    browser: Browser, addresses: dict[str, str], paper: str, size_pt: tuple[float, float], case: str, most: int
) -> None:
    from pypdf import PdfReader

    page, _ = opened(browser, addresses[case], DESK)
    sheets = PdfReader(BytesIO(page.pdf(format=paper))).pages
    assert 3 <= len(sheets) <= most
    for sheet in sheets:
        assert [float(side) for side in sheet.mediabox[2:]] == pytest.approx(size_pt, abs=1.5)
    text = " ".join(" ".join(sheet.extract_text() for sheet in sheets).split())
    assert "Numbers in force" in text, "what is folded on the screen is printed"
    assert "SHA-256" in " ".join(sheets[-1].extract_text().split())
    page.context.close()


def test_a_narrow_screen_has_a_drawing_of_its_own(browser: Browser, addresses: dict[str, str]) -> None:
    for size, shown, hidden in ((DESK, ".wide", ".narrow"), (PHONE, ".narrow", ".wide")):
        page, _ = opened(browser, addresses["layout"], size)
        assert page.locator(f".drawing{shown}").is_visible()
        assert not page.locator(f".drawing{hidden}").is_visible()
        page.context.close()
