"""The bench page in a real Chromium, by touch: from an empty record to the verdict, and what may go wrong."""

from __future__ import annotations

import random
import time
from pathlib import Path

import pytest
from at_the_bench import (  # noqa: F401
    GANNET,
    NEEDS,
    NOTHING_LEFT,
    SKERRY,
    Build,
    Hand,
    days_ago,
    filled_in,
    killed,
    opened,
    pack_of,
    put_where_it_is_not_drawn,
    running_browser,
    served,
    told_again,
    verdict,
)
from browser import Browser

from packcheck.model.opening import open_file
from packcheck.rules.findings import Gate, Verdict

pytestmark = NEEDS

LEAST_TOUCH_PX = 70
"""12 mm on a tablet of 10.1 inches diagonal with 1280 by 800 points, which has 149 to the inch."""


def test_six_modules_from_an_empty_record_to_the_verdict(browser: Browser, tmp_path: Path) -> None:
    """A bar on the wrong post is found at once, put right, and told again; the program is killed on the way."""
    record = tmp_path / "gn-1.yaml"
    build = Build(pack_of(GANNET), wrong={"B02": ("P02.B", "P04.B")})
    with served(GANNET, record, "--pack", "GN-1", "--port", "0") as (process, address):
        page = opened(browser, address)
        hand = Hand(page, build)
        hand.introduce("MK")
        hand.at(days_ago(2))
        for _ in range(12):
            hand.answer()
        assert page.text("[data-gate='fit bars']").split("\n") == ["fit bars", "no rule broken"]
        put_where_it_is_not_drawn(hand, "B02")
        assert verdict(record, GANNET, Gate.PLUG_IN) is Verdict.DO_NOT_ENERGIZE
        page.tap_text("I have read this")
        page.until("document.querySelector('#card .held')?.textContent.includes('fit nothing more')")
        before = record.read_bytes()
        killed(process)
        page.tap_text("Later")
        assert record.read_bytes() == before
    with served(GANNET, record, "--port", address.rstrip("/").rpartition(":")[2]) as (process, _):
        del build.wrong["B02"]
        told_again(hand, "B02", ("P02.B", "P03.B"))
        page.until("!document.querySelector('#card .held')")
        assert "put right" in record.read_text()
        filled_in(hand, NOTHING_LEFT)
        assert [page.text(f"[data-gate='{gate.value}']").split("\n")[1] for gate in Gate] == ["no rule broken"] * 4
        assert verdict(record, GANNET) is Verdict.NO_RULE_BROKEN
        page.tap("[data-gate='plug in']")
        page.until("document.querySelector('dialog[open] pre')")
        assert page.text("dialog pre").startswith("NO RULE BROKEN")
        assert "not permission to energize" in page.text("dialog pre")
        assert browser.complaints() == [] or all("ERR_CONNECTION_REFUSED" in one for one in browser.complaints())
        assert {one.split("/")[2] for one in browser.requested() if one.startswith("http")} == {address.split("/")[2]}


def test_killed_in_the_middle_of_an_entry_nothing_is_lost_and_nothing_is_half(browser: Browser, tmp_path: Path) -> None:
    """At any moment the file is that before the entry or that after it, and can be read."""
    record = tmp_path / "gn-2.yaml"
    rng = random.Random(7)
    port = "0"
    for turn in range(6):
        with served(GANNET, record, "--port", port) as (process, address):
            port = address.rstrip("/").rpartition(":")[2]
            page = opened(browser, address)
            hand = Hand(page, Build(pack_of(GANNET)))
            if turn == 0:
                hand.introduce("MK")
            page.run("localStorage.setItem('bench gannet-6  by', 'MK')")
            told = record.read_bytes()
            page.run(
                "fetch('/state').then(a => a.json()).then(v => fetch('/tell', {method: 'POST', headers:"
                " {'content-type': 'application/json'}, body: JSON.stringify({section: 'modules',"
                f" subjects: ['P0{turn + 1}'], cells: {{serial: 'M-{turn}'}}, by: 'MK', version: v.version}})}}))"
                ".catch(() => null); 1"
            )
            time.sleep(rng.uniform(0.0, 0.12))
            killed(process)
            after = record.read_bytes()
            assert after == told or (after.startswith(told[:60]) and f"serial: M-{turn}".encode() in after)
            assert open_file(record, GANNET).record is not None
            page.close()


def test_of_two_tabs_the_second_is_told_and_overwrites_nothing(browser: Browser, tmp_path: Path) -> None:
    record = tmp_path / "gn-3.yaml"
    with served(GANNET, record, "--port", "0") as (_, address):
        first = opened(browser, address)
        one = Hand(first, Build(pack_of(GANNET)))
        one.introduce("MK")
        second = browser.tab(first.context)  # type: ignore[attr-defined]
        second.size(1280, 800)
        second.open(address, "document.querySelector('#card h2')")
        one.answer()
        before = record.read_bytes()
        other = Hand(second, Build(pack_of(GANNET)))
        for column in ("plus at", "type"):
            other.field("modules", "P01", column, "choice", "")
        second.write('[data-column="serial"] input', "M-9")
        second.tap("#enter")
        second.until("document.querySelector('#banner').textContent.includes('changed elsewhere')")
        other.settled()
        assert record.read_bytes() == before
        assert other.card()[1] == "P02", "it shows what the record says now"
        other.answer()
        assert "P02:" in record.read_text()


HOLD = """(() => { const asked = window.fetch; window.held = [];
  window.fetch = (path, options) => !path.startsWith('/state') ? asked(path, options) :
    new Promise(resolve => window.held.push(() => resolve(asked(path, options)))) })()"""
"""Keeps what the page asks for as a judgement from it until ``held`` lets it go."""


def test_until_an_entry_is_judged_nothing_is_shown_as_judged_and_the_work_goes_on(
    browser: Browser, tmp_path: Path
) -> None:
    record = tmp_path / "gn-4.yaml"
    with served(GANNET, record, "--pack", "GN-4", "--port", "0") as (_, address):
        page = opened(browser, address)
        hand = Hand(page, Build(pack_of(GANNET)))
        hand.introduce("MK")
        page.run(HOLD)
        for column in ("plus at", "type"):
            hand.field("modules", "P01", column, "choice", "")
        page.write('[data-column="serial"] input', "M-1")
        page.tap("#enter")
        page.until("document.querySelector('#card').dataset.subject === 'P02'")
        assert "M-1" in record.read_text()
        assert {page.text(f"[data-gate='{gate.value}']").split("\n")[1] for gate in Gate} == {"being judged …"}
        assert page.text("#banner") == "Written: P01. Being judged …"
        for column in ("plus at", "type"):
            hand.field("modules", "P02", column, "choice", "")
        page.write('[data-column="serial"] input', "M-2")
        page.run("held.splice(0).forEach(go => go())")
        hand.settled()
        assert page.text("[data-gate='fit bars']").split("\n")[1].endswith("to record")
        assert hand.card()[1] == "P02", "whoever fills in a card goes on with it"
        assert page.run("document.querySelector('[data-column=serial] input').value") == "M-2"
        page.tap("#enter")
        page.until("document.querySelector('#card').dataset.subject === 'P03'")
        assert "M-2" in record.read_text()


@pytest.mark.parametrize(("width", "height"), [(1280, 800), (390, 844)])
@pytest.mark.parametrize("dark", [False, True])
def test_every_control_is_large_enough_for_a_glove_and_readable(
    browser: Browser, tmp_path: Path, width: int, height: int, dark: bool
) -> None:
    with served(SKERRY, tmp_path / "sk-2.yaml", "--port", "0") as (_, address):
        page = opened(browser, address, width, height)
        page.size(width, height, dark=dark)
        page.until(f"matchMedia('(prefers-color-scheme: {'dark' if dark else 'light'})').matches")
        page.run("document.querySelector('#stage').value = [...document.querySelector('#stage').options].find("
                 "o => o.textContent.startsWith('clamp') || o.textContent.includes('clamp')).value;"
                 "document.querySelector('#stage').dispatchEvent(new Event('change'))")  # fmt: skip
        page.until("document.querySelector('.keys')")
        assert page.run("scrollY") == 0, "the question is in sight, whatever the drawing has to show"
        assert page.run(RUN_OVER) == []
        small = page.run(
            "[...document.querySelectorAll('button, select, input')].filter(e => e.offsetParent)"
            ".map(e => [e.textContent, e.getBoundingClientRect()])"
            f".filter(([, b]) => b.width < {LEAST_TOUCH_PX} || b.height < {LEAST_TOUCH_PX})"
            ".map(([t]) => t)"
        )
        assert small == []
        assert page.run("document.documentElement.scrollWidth <= innerWidth"), "nothing runs out of the page sideways"
        assert page.run(CONTRAST) == []


RUN_OVER = """[...document.querySelectorAll('button')].filter(e => e.offsetParent).map(e => {
  const words = document.createRange(); words.selectNodeContents(e);
  const [inner, outer] = [words.getBoundingClientRect(), e.getBoundingClientRect()];
  return [e.textContent, inner.left < outer.left || inner.right > outer.right] }).filter(([, over]) => over)"""
"""Controls whose words do not fit into them."""

CONTRAST = """(() => {
  const part = v => v / 255 <= .03928 ? v / 255 / 12.92 : ((v / 255 + .055) / 1.055) ** 2.4;
  const lum = c => { const [r, g, b] = c.map(part);
    return .2126 * r + .7152 * g + .0722 * b };
  const rgb = s => s.match(/[\\d.]+/g).map(Number);
  const ground = e => { for (; e; e = e.parentElement) { const c = rgb(getComputedStyle(e).backgroundColor);
    if (c.length < 4 || c[3] > 0) return c.slice(0, 3) } return [255, 255, 255] };
  return [...document.querySelectorAll('button, h1, h2, p, span, b, label, li')].filter(e => e.offsetParent &&
    !e.disabled && !e.closest('#drawing') && [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim())).map(e => {
    const a = lum(rgb(getComputedStyle(e).color).slice(0, 3)), b = lum(ground(e));
    return [e.textContent.trim().slice(0, 30), (Math.max(a, b) + .05) / (Math.min(a, b) + .05)] })
    .filter(([, r]) => r < 4.5) })()"""
"""Texts whose contrast with their ground is below 4.5 to 1 (WCAG 2.2, criterion 1.4.3, formula of its glossary)."""
