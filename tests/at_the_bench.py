"""A build that somebody records on the bench page: what each question of the page is answered with, by touch alone.

The voltages are added up over the drawing here, module by module; nothing of the program reckons them.
"""

from __future__ import annotations

import random
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from importlib.util import find_spec
from pathlib import Path

import pytest
from browser import CHROMIUM, Browser, Page, chromium, wait_for

from packcheck.app.arguments import rules_and_profile
from packcheck.judging.check import check_file
from packcheck.model.opening import open_file
from packcheck.model.pack.model import Pack
from packcheck.rules.findings import Gate, Verdict

ROOT = Path(__file__).resolve().parents[1]
GANNET = ROOT / "tests" / "samples" / "gannet-6.yaml"
SKERRY = ROOT / "layouts" / "skerry-24" / "skerry-24.yaml"
RULES, _ = rules_and_profile(None, None)
NOTHING_LEFT = "document.querySelector('#card h2').textContent.startsWith('Nothing left')"
ALARM = "document.querySelector('#alarm').textContent !== ''"
NEEDS = [
    pytest.mark.skipif(not CHROMIUM, reason="Chromium is not installed"),
    pytest.mark.skipif(not find_spec("uvicorn"), reason="uvicorn is not installed"),
    pytest.mark.skipif(not find_spec("websockets"), reason="websockets is not installed, by which Chromium is driven"),
]
"""Marks of a file of tests that touch the page."""
INSTRUMENTS = {
    "multimeter": ("V1", {"accuracy": "0.03 % + 2 mV", "range": "0 V to 600 V", "input": "10 MΩ"}),
    "click wrench": ("T1", {"accuracy": "4 %", "range": "2 N·m to 20 N·m"}),
    "micro-ohmmeter": ("R1", {"accuracy": "0.5 % + 1 µΩ"}),
    "length gauge": ("L1", {"accuracy": "0.1 mm"}),
}


@dataclass
class Build:
    """What is true of one pack on the bench."""

    pack: Pack
    scatter: random.Random = field(default_factory=lambda: random.Random(4))
    rest: dict[str, float] = field(default_factory=dict)
    wrong: dict[str, tuple[str, str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for name in self.pack.positions:
            band = self.pack.module_type_at(name).rest_v
            assert band.low is not None
            assert band.high is not None
            middle = float(band.low + band.high) / 2
            self.rest[name] = round(middle * (1 + self.scatter.uniform(-0.0006, 0.0006)), 3)

    def volts(self, plus: str, minus: str, state: str) -> float:
        """Return what a meter reads between two places: a walk over modules, conductors and closed devices."""
        start, end = (self.pack.taps[n].node if n in self.pack.taps else n for n in (minus, plus))
        reached, waiting = {start: 0.0}, [start]
        while waiting:
            here = waiting.pop()
            for other, rise in self._beside(here, self.pack.states[state].closed):
                if other not in reached:
                    reached[other] = reached[here] + rise
                    waiting.append(other)
        return reached.get(end, 0.003)

    def _beside(self, here: str, closed: frozenset[str]) -> Iterator[tuple[str, float]]:
        for position in self.pack.positions.values():
            minus, plus = f"{position.name}.{position.minus}", f"{position.name}.{position.plus}"
            if here == minus:
                yield plus, self.rest[position.name]
            if here == plus:
                yield minus, -self.rest[position.name]
        for conductor in self.pack.conductors.values():
            nodes = [landing.node for landing in conductor.lands]
            if here in nodes:
                yield from ((node, 0.0) for node in nodes)
            if here == conductor.name or here in nodes:
                yield from ((node, 0.0) for node in (*nodes, conductor.name))
        for device in self.pack.devices.values():
            passes = device.name in closed or device.kind in ("fuse", "shunt")
            if here in device.ends and passes:
                yield from ((end, 0.0) for end in device.ends)

    def number(self, section: str, subject: str, column: str, state: str) -> str:
        """Return what is read, in the first unit that the page offers."""
        if column == "rest":
            return f"{self.rest[subject]:.3f}"
        if column == "value":
            plus, minus = re.sub(r", .*| again$", "", subject).split(" to ")
            return f"{self.volts(plus, minus, state):.3f}"
        if column == "torque":
            band = self.pack.clamp.torque_n_m if section == "clamp" and self.pack.clamp else None
            band = band or self.pack.joint_types[self.pack.joints[subject][1].joint_type].torque_n_m
            assert band.low is not None
            assert band.high is not None
            return f"{float(band.aim if band.aim is not None else (band.low + band.high) / 2):g}"
        if column == "resistance":
            kind = self.pack.joint_types[self.pack.joints[subject][1].joint_type]
            return f"{(float(kind.resistance_ohm.aim or 60e-6)) * 1e6 * self.scatter.uniform(0.995, 1.005):.1f}"
        if column == "length":
            clamp = self.pack.clamp
            assert clamp is not None
            return f"{float((clamp.length_mm.low + clamp.length_mm.high) / 2):.1f}"  # type: ignore[operator]
        device = self.pack.devices[subject]
        printed = {"volts": device.volts_v, "rating": device.rating_a, "breaks": (device.breaks_a or 0) / 1000}[column]
        return f"{printed:g}"


@pytest.fixture(name="browser", scope="module")
def running_browser() -> Iterator[Browser]:
    with chromium() as running:
        yield running


@contextmanager
def served(layout: Path, record: Path, *more: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """Run the bench page; yield its process and its address."""
    process = subprocess.Popen(
        [sys.executable, "-m", "packcheck", "bench", str(layout), "--record", str(record), *more],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    try:
        assert process.stdout is not None
        line = process.stdout.readline()
        address = re.search(r"http://\S+/", line)
        assert address, line + (process.stderr.read() if process.stderr and not line else "")
        yield process, address[0]
    finally:
        process.terminate()
        process.wait(20)


class Hand:
    """Somebody at the page: touches what it shows, and knows the build."""

    def __init__(self, page: Page, build: Build) -> None:
        self.page, self.build = page, build
        self.entries = 0
        self.answered: list[int] = []

    def card(self) -> tuple[str, str, list[tuple[str, str]], str]:
        told = self.page.run(
            "(() => { const c = document.querySelector('#card'); return [c.dataset.section, c.dataset.subject,"
            " [...c.querySelectorAll('.field[data-column]')].map(f => [f.dataset.column, f.dataset.kind]),"
            " c.querySelector('.title')?.innerText ?? ''] })()"
        )
        return told[0], told[1], [tuple(one) for one in told[2]], told[3]

    def introduce(self, initials: str) -> None:
        self.page.tap("#who")
        self.page.write("#initials", initials)
        self.page.write("#job", "fitter")
        self.page.tap("#done")
        self.page.until("!document.querySelector('dialog[open]')")
        self.settled()

    def at(self, when: str) -> None:
        """Say when what follows was done."""
        self.page.tap("#more")
        self.page.tap_text("When it was done", "dialog")
        self.page.until("document.querySelector('#when')")
        self.page.run(f"document.querySelector('#when').value = {when.replace(' ', 'T')!r}")
        self.page.tap("dialog #done")
        self.page.until("!document.querySelector('dialog[open]')")

    def settled(self) -> None:
        """Wait until what was entered is written, and judged."""
        self.page.until("!document.body.hasAttribute('aria-busy') && !document.body.hasAttribute('data-judging')")

    def answer(self) -> None:
        """Answer the question in hand as it is."""
        section, subject, fields, title = self.card()
        for column, kind in fields:
            self.field(section, subject, column, kind, title)
        self.page.until("!document.querySelector('dialog[open]')")
        still = (  # the next card may be there at once, and may ask another thing of the same part
            f"document.querySelector('#card').dataset.section === {section!r} &&"
            f" document.querySelector('#card').dataset.subject === {subject!r} &&"
            f" [...document.querySelectorAll('#card .field')].map(f => f.dataset.column).filter(Boolean).join()"
            f" === {','.join(column for column, _ in fields)!r}"
        )
        if self.page.run(f"!document.body.hasAttribute('aria-busy') && {still}"):
            self.page.tap("#enter")
        self.entries += 1
        self.page.until(f"!({still})")
        self.settled()
        self.answered.append(int(self.page.run("Number(document.body.dataset.answeredMs)")))

    def field(self, section: str, subject: str, column: str, kind: str, title: str) -> None:
        page, here = self.page, f'#card .field[data-column="{column}"]'
        if kind in ("number", "count"):
            page.tap(f"{here} .value")
            if kind == "number" and section != "devices":
                self.instrument()
            state = title.partition("state: ")[2].split("\n")[0].strip()
            digits = (
                self.build.number(section, subject, column, state) if kind == "number" else self.count(subject, column)
            )
            self.press(digits)
        elif kind == "text":
            drawn = self.build.pack.devices.get(subject) or self.build.pack.conductors.get(subject)
            words = {"serial": f"M-{100 + self.entries}", "name": f"socket-{self.entries}"}
            page.write(f"{here} input", words.get(column) or (drawn.part if drawn else "") or "without a number")
        elif kind == "choice":
            value = self.choice(section, subject, column)
            if value:
                page.tap(f'{here} button[data-value="{value}"]')
        elif kind == "places" and subject in self.build.wrong:
            page.tap(f"{here} button")
            for place in self.build.wrong[subject]:
                page.write("dialog input", place)
                page.tap(f'dialog button[data-place="{place}"]')

    def instrument(self) -> None:
        """Say once with which instrument."""
        asks = self.page.text("#instrument")
        if not asks.startswith("Choose the "):
            return
        kind = asks.removeprefix("Choose the ")
        name, said = INSTRUMENTS[kind]
        self.page.tap("#instrument")
        self.page.write("#name", name)
        for key, value in said.items():
            self.page.write(f"#{key}", value)
        self.page.run("document.querySelector('#due').value = '2099-01-15'")
        self.page.tap("dialog #done")
        self.page.until("!document.querySelector('dialog[open]')")
        self.settled()
        self.page.until(f"document.querySelector('#instrument').textContent.includes('with {name}')")

    def press(self, number: str) -> None:
        for digit in number:
            name = "±" if digit == "-" else digit
            self.page.run(
                "document.querySelectorAll('[data-hit]').forEach(o => delete o.dataset.hit);"
                f"[...document.querySelectorAll('.keys button')].find(b => b.textContent === {name!r})"
                ".dataset.hit = '1'"
            )
            self.page.tap("[data-hit]")

    def choice(self, section: str, subject: str, column: str) -> str:
        pack = self.build.pack
        if column == "is":
            if section in ("modules",) or (section == "devices" and pack.devices[subject].kind in ("fuse",)):
                return ""
            if section == "devices" and pack.devices[subject].current:
                return ""
            if subject in self.build.wrong:
                return ""
            return {"caps": "on", "covers": "fitted"}.get(section, "as drawn")
        if column == "plus at":
            return pack.positions[subject].plus
        if column == "type":
            return pack.positions[subject].module_type
        if column == "current":
            return pack.devices[subject].current or "1 to 2"
        return {"condition": "sound", "mark": "white", "recheck": "held", "extra": "none"}[column]

    def count(self, subject: str, column: str) -> str:
        from packcheck.model.pack.parts import needed_parts

        needed = needed_parts(self.build.pack).get(subject, 1)
        cover = self.build.pack.covers.get(subject)
        counts = {"issued": needed + 2, "fitted": needed, "returned": 2, "scrapped": 0, "out": 1, "in": 1,
                  "screws": cover.screws if cover else 0, "cycles": 1200}  # fmt: skip
        return str(counts[column])


def pack_of(layout: Path) -> Pack:
    return open_file(layout).pack


def killed(process: subprocess.Popen[str]) -> None:
    process.send_signal(signal.SIGKILL)
    wait_for(lambda: process.poll() is not None)


def opened(browser: Browser, address: str, width: int = 1280, height: int = 800) -> Page:
    browser.events.clear()
    page = browser.page()
    page.size(width, height)
    page.open(address, "document.querySelector('#card h2') && document.querySelector('#drawing svg')")
    return page


def days_ago(days: float) -> str:
    return f"{datetime.now() - timedelta(days=days):%Y-%m-%d %H:%M}"


def filled_in(hand: Hand, until: str, most: int = 600) -> None:
    """Answer question after question until the page says something."""
    for _ in range(most):
        if hand.page.run(until):
            return
        hand.answer()
        assert not hand.page.text("#alarm"), hand.page.text("#alarm")
    raise AssertionError(f"never came to {until}: {hand.card()}")


def put_where_it_is_not_drawn(hand: Hand, bar: str, most: int = 200) -> None:
    """Answer all questions up to that about a bar which is really elsewhere, and see the page stop the work."""
    for _ in range(most):
        if hand.card()[1] == bar:
            break
        hand.answer()
    hand.answer()
    hand.page.until(ALARM)
    assert hand.page.text("#alarm h2") == "STOP"
    assert bar in hand.page.text("#alarm")


def told_again(hand: Hand, subject: str, places: tuple[str, str]) -> None:
    """Tell where a bar lands a second time, with the reason."""
    page = hand.page
    page.until(f"document.querySelector('#last').textContent.includes({subject!r})")
    page.tap(f"button[aria-label='tell lands of {subject} again']")
    page.until(f"document.querySelector('#card').dataset.subject === {subject!r} && document.querySelector('.why')")
    page.tap_text("put right", "#card")
    page.tap('#card .field[data-column="lands"] button')
    for place in places:
        page.write("dialog input", place)
        page.tap(f'dialog button[data-place="{place}"]')
    page.until(f"document.querySelector('#banner').textContent.startsWith('Written: {subject}')")
    hand.settled()


def verdict(record: Path, layout: Path, gate: Gate = Gate.RELEASE) -> Verdict:
    return check_file(record, rules=RULES, gate=gate, layout=layout).judgement.verdict
