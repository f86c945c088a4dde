"""Chromium, driven over its own debugging protocol: open a page, press what one sees, read it, take pictures."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome") or ""
_FLAGS = (
    "--headless=new", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--remote-debugging-port=0",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
    "--force-color-profile=srgb", "--hide-scrollbars",
)  # fmt: skip


class Page:
    """One tab."""

    def __init__(self, browser: Browser, target: str, session: str) -> None:
        self.browser, self.target, self.session = browser, target, session
        self.errors: list[str] = []
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> Any:
        return self.browser.call(method, self.session, **parameters)

    def size(self, width: int, height: int, *, dark: bool = False, touch: bool = True) -> None:
        self.call(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 500
        )
        self.call("Emulation.setTouchEmulationEnabled", enabled=touch)
        scheme = "dark" if dark else "light"
        self.call("Emulation.setEmulatedMedia", features=[{"name": "prefers-color-scheme", "value": scheme}])

    def open(self, address: str, ready: str = "true") -> None:
        self.call("Page.navigate", url=address)
        self.until(f"document.readyState === 'complete' && ({ready})")

    def run(self, script: str) -> Any:
        told = self.call("Runtime.evaluate", expression=script, awaitPromise=True, returnByValue=True)
        if "exceptionDetails" in told:
            raise AssertionError(told["exceptionDetails"].get("exception", {}).get("description", told))
        return told["result"].get("value")

    def until(self, condition: str, seconds: float = 60.0) -> Any:
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            value = self.run(f"(() => {{ try {{ return !!({condition}) }} catch (wrong) {{ return false }} }})()")
            if value:
                return value
            time.sleep(0.02)
        raise AssertionError(f"never true: {condition}\n{self.run('document.body.innerText')[:2000]}")

    def tap(self, selector: str) -> None:
        """Touch the middle of what a selector names, as a finger would: it must be in sight, with nothing over it."""
        self.until(f"document.querySelector({selector!r}) && !document.querySelector({selector!r}).disabled")
        spot = self.run(
            f"(() => {{ const e = document.querySelector({selector!r}); e.scrollIntoView({{block: 'center'}});"
            " const b = e.getBoundingClientRect(); const x = b.x + b.width / 2, y = b.y + b.height / 2;"
            " const over = document.elementFromPoint(x, y);"
            " return [x, y, e === over || e.contains(over)] })()"
        )
        assert spot[2], f"{selector} is covered by something else"
        self.come_forward()
        point = {"x": spot[0], "y": spot[1]}
        self.call("Input.dispatchTouchEvent", type="touchStart", touchPoints=[point])
        self.call("Input.dispatchTouchEvent", type="touchEnd", touchPoints=[])

    def come_forward(self) -> None:
        """Put this tab before the others: one that is behind draws nothing, and what touches it waits for a drawing."""
        if self.browser.foremost != self.target:
            self.call("Page.bringToFront")
            self.browser.foremost = self.target

    def tap_text(self, text: str, within: str = "body") -> None:
        """Touch the button that says so."""
        script = (
            f"(() => {{ const all = [...document.querySelectorAll({within + ' button'!r})].filter(b => b.offsetParent);"
            f" const said = {text!r}, e = all.find(b => b.textContent.trim() === said) ||"
            " all.find(b => b.textContent.includes(said)); if (!e || e.disabled) return false;"
            " document.querySelectorAll('[data-hit]').forEach(o => delete o.dataset.hit);"
            " e.dataset.hit = '1'; return true })()"
        )  # fmt: skip
        self.until(f"({script})")
        self.tap("[data-hit]")

    def write(self, selector: str, text: str) -> None:
        self.until(f"document.querySelector({selector!r})")
        self.run(f"document.querySelector({selector!r}).focus(); document.querySelector({selector!r}).select?.()")
        self.call("Input.insertText", text=text)

    def text(self, selector: str = "body") -> str:
        return str(self.run(f"document.querySelector({selector!r})?.innerText ?? ''"))

    def picture(self, path: Path, *, whole: bool = False) -> None:
        shot = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        path.write_bytes(base64.b64decode(shot["data"]))

    def close(self) -> None:
        self.browser.call("Target.closeTarget", targetId=self.target)


class Browser:
    """A running Chromium."""

    def __init__(self, connection: Any) -> None:
        self._connection = connection
        self._number = 0
        self.events: list[dict[str, Any]] = []
        self.foremost = ""

    def call(self, method: str, session: str = "", **parameters: Any) -> Any:
        self._number += 1
        number = self._number
        message = {"id": number, "method": method, "params": parameters} | ({"sessionId": session} if session else {})
        self._connection.send(json.dumps(message))
        while True:
            told = json.loads(self._connection.recv(timeout=60))
            if told.get("id") == number:
                if "error" in told:
                    raise AssertionError(f"{method}: {told['error']}")
                return told["result"]
            self.events.append(told)

    def page(self) -> Page:
        context = self.call("Target.createBrowserContext")["browserContextId"]
        return self.tab(context)

    def tab(self, context: str) -> Page:
        target = self.call("Target.createTarget", url="about:blank", browserContextId=context)["targetId"]
        self.foremost = target
        session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        page = Page(self, target, session)
        page.context = context  # type: ignore[attr-defined]
        return page

    def complaints(self) -> list[str]:
        """Return what the console said of errors, and every address asked for that is not this machine's."""
        said = []
        for event in self.events:
            parameters = event.get("params", {})
            if event.get("method") == "Log.entryAdded" and parameters["entry"]["level"] == "error":
                said.append(f"{parameters['entry']['text']} {parameters['entry'].get('url', '')}")
            if event.get("method") == "Runtime.exceptionThrown":
                said.append(str(parameters["exceptionDetails"]))
        return said

    def requested(self) -> set[str]:
        """Return every address that was asked for."""
        return {
            event["params"]["request"]["url"]
            for event in self.events
            if event.get("method") == "Network.requestWillBeSent"
        }


@contextmanager
def chromium() -> Iterator[Browser]:
    """Run a Chromium of its own, with nothing kept from one time to the next."""
    from websockets.sync.client import connect

    folder = tempfile.mkdtemp(prefix="chromium-")
    process = subprocess.Popen(
        [CHROMIUM, *_FLAGS, f"--user-data-dir={folder}", "about:blank"], stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL, env={**os.environ, "HOME": folder},
    )  # fmt: skip
    try:
        port = wait_for(lambda: (Path(folder) / "DevToolsActivePort").read_text().split("\n"))
        with connect(f"ws://127.0.0.1:{port[0]}{port[1]}", max_size=2**26, open_timeout=30) as connection:
            yield Browser(connection)
    finally:
        process.terminate()
        process.wait(20)
        shutil.rmtree(folder, ignore_errors=True)


def wait_for(ask: Callable[[], Any], seconds: float = 60.0) -> Any:
    """Return what a question is answered with once it is answered."""
    end = time.monotonic() + seconds
    while True:
        try:
            answer = ask()
            if answer:
                return answer
        except OSError:
            pass
        if time.monotonic() > end:
            raise AssertionError("no answer")
        time.sleep(0.05)
