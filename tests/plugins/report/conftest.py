"""A real browser without a screen, driven over a pipe, for looking at pages as a reader would."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


class Browser:
    """Chromium's own debugging protocol, one message a NUL-ended JSON text."""

    def __init__(self, program: str, profile: Path) -> None:
        to_browser, ours_out = os.pipe()
        ours_in, from_browser = os.pipe()

        def fix_descriptors() -> None:  # the browser reads 3 and writes 4
            os.dup2(to_browser, 63)
            os.dup2(from_browser, 64)
            os.dup2(63, 3)
            os.dup2(64, 4)

        self.process = subprocess.Popen(
            [
                program,
                "--headless=new",
                "--no-sandbox",
                "--disable-gpu",
                "--disable-dev-shm-usage",
                "--hide-scrollbars",
                "--remote-debugging-pipe",
                f"--user-data-dir={profile}",
                "about:blank",
            ],
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            pass_fds=(3, 4, to_browser, from_browser),
            preexec_fn=fix_descriptors,
        )
        os.close(to_browser)
        os.close(from_browser)
        self._out, self._in = ours_out, ours_in
        self._buffer = b""
        self._number = 0
        self.events: list[dict[str, Any]] = []

    def ask(self, method: str, session: str | None = None, **params: Any) -> dict[str, Any]:
        """One command and its answer; events that come in between are kept."""
        self._number += 1
        number = self._number
        message: dict[str, Any] = {"id": number, "method": method, "params": params}
        if session:
            message["sessionId"] = session
        os.write(self._out, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == number:
                if "error" in answer:
                    raise RuntimeError(f"{method}: {answer['error']}")
                result: dict[str, Any] = answer["result"]
                return result
            self.events.append(answer)

    def wait(self, method: str) -> None:
        """Until that event has come."""
        while not any(event.get("method") == method for event in self.events):
            self.events.append(self._next())

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._buffer:
            more = os.read(self._in, 1 << 16)
            if not more:
                raise RuntimeError("the browser went away")
            self._buffer += more
        text, _, self._buffer = self._buffer.partition(b"\0")
        found: dict[str, Any] = json.loads(text)
        return found

    def open(self, file: Path, *, width: int = 1280, height: int = 900, js: bool = True) -> Page:
        """A file in a tab of its own."""
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        page = Page(self, session, target)
        self.events.clear()
        for domain in ("Page", "Runtime", "Network", "Log"):
            page.ask(f"{domain}.enable")
        page.ask("Emulation.setScriptExecutionDisabled", value=not js)
        page.size(width, height)
        page.ask("Page.navigate", url=file.as_uri())
        self.wait("Page.loadEventFired")
        return page

    def close(self) -> None:
        """Ends the browser."""
        try:
            self.ask("Browser.close")
            self.process.wait(10)
        except (RuntimeError, OSError, subprocess.TimeoutExpired):
            self.process.kill()
        os.close(self._out)
        os.close(self._in)


class Page:
    """One open page."""

    def __init__(self, browser: Browser, session: str, target: str) -> None:
        self.browser, self.session, self.target = browser, session, target

    def ask(self, method: str, **params: Any) -> dict[str, Any]:
        """A command for this page."""
        return self.browser.ask(method, self.session, **params)

    def size(self, width: int, height: int) -> None:
        """The window's size."""
        self.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=width < 600,
        )

    def value(self, expression: str) -> Any:
        """What a JavaScript expression gives; the debugger may ask even where scripts may not
        run."""
        answer = self.ask("Runtime.evaluate", expression=expression, returnByValue=True)
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def complaints(self) -> list[str]:
        """What the console holds, and dialogs and exceptions."""
        bad = ("Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded",
               "Page.javascriptDialogOpening")  # fmt: skip
        return [str(e) for e in self.browser.events if e.get("method") in bad]

    def requests(self) -> list[str]:
        """Addresses that were asked for."""
        return [
            e["params"]["request"]["url"]
            for e in self.browser.events
            if e.get("method") == "Network.requestWillBeSent"
        ]

    def picture(self, selector: str | None = None, *, whole: bool = True) -> bytes:
        """The page, or one element of it, as PNG."""
        params: dict[str, Any] = {"format": "png", "captureBeyondViewport": whole}
        if selector:
            box = self.value(
                f"(()=>{{const r=document.querySelector({selector!r}).getBoundingClientRect();"
                "return [r.x+scrollX,r.y+scrollY,r.width,r.height]})()"
            )
            params["clip"] = dict(zip(("x", "y", "width", "height"), box, strict=True), scale=1)
        return base64.b64decode(self.ask("Page.captureScreenshot", **params)["data"])

    def close(self) -> None:
        """Closes the tab."""
        self.browser.ask("Target.closeTarget", targetId=self.target)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """A browser for all page tests; where there is none they are skipped and say so, unless
    SEAMWRIGHT_REQUIRE_BROWSER is set."""
    program = next((p for p in map(shutil.which, NAMES) if p), None)
    if program is None:
        if os.environ.get("SEAMWRIGHT_REQUIRE_BROWSER"):
            pytest.fail(f"no browser found among {', '.join(NAMES)}")
        pytest.skip(f"no browser on this machine (looked for {', '.join(NAMES)})")
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        opened = Browser(program, Path(profile))
        yield opened
        opened.close()
