"""Records to report on, and a real browser without a screen to look at pages as a reader would."""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Any

import pytest

from seamwright.demo import sleeve as drafting
from seamwright.demo.blouse import blouse
from seamwright.findings import Finding, Severity
from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, Run, RunPart, Seam, build_shape
from seamwright.plan import apply_plan, load_plan
from seamwright.plugins.api import Context, InvariantKept, Record, StepRecord
from seamwright.plugins.registry import Registry

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
        answer = self.ask("Runtime.evaluate", expression=expression, returnByValue=True,
                          awaitPromise=True)  # fmt: skip
        assert "exceptionDetails" not in answer, answer
        return answer["result"].get("value")

    def click(self, selector: str) -> None:
        """A press of the mouse on the middle of an element."""
        box = self.value(
            f"(()=>{{const e=document.querySelector({selector!r});e.scrollIntoView();"
            "const r=e.getBoundingClientRect();return [r.x+r.width/2,r.y+r.height/2]})()"
        )
        for kind in ("mousePressed", "mouseReleased"):
            self.ask("Input.dispatchMouseEvent", type=kind, x=box[0], y=box[1], button="left",
                     clickCount=1)  # fmt: skip

    def key(self, key: str) -> None:
        """A key pressed and let go."""
        code = {"ArrowLeft": 37, "ArrowRight": 39, "Tab": 9, "Home": 36, "End": 35, " ": 32,
                "Enter": 13}[key]  # fmt: skip
        text = {" ": " ", "Enter": "\r"}.get(key)
        self.ask("Input.dispatchKeyEvent", type="keyDown" if text else "rawKeyDown", key=key,
                 code="Space" if key == " " else key, windowsVirtualKeyCode=code,
                 **({"text": text} if text else {}))  # fmt: skip
        self.ask("Input.dispatchKeyEvent", type="keyUp", key=key,
                 code="Space" if key == " " else key, windowsVirtualKeyCode=code)  # fmt: skip

    def until(self, expression: str, *, seconds: float = 5.0) -> None:
        """Waits until an expression is true."""
        end = time.monotonic() + seconds
        while not self.value(f"Boolean({expression})"):
            assert time.monotonic() < end, f"never came: {expression}"
            time.sleep(0.02)

    def looks(self, *, dark: bool = False, media: str = "") -> None:
        """Light or dark, screen or paper."""
        scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
        self.ask("Emulation.setEmulatedMedia", media=media, features=[scheme])

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


# -- records of runs -------------------------------------------------------------------------


@pytest.fixture(scope="session")
def eased_run() -> Record:
    """A run over the demonstration's blouse in three sizes: the sleeve's cap drawn lower by
    hand, the figures as the step that folds a cap gives them."""
    before = planned(blouse(["B", "C", "D"]))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(drafting, "BUST_SHARE", 0.0)
        patch.setattr(drafting, "BACK_MORE", 15.0)
        patch.setattr(drafting, "FRONT_MORE", 12.0)
        lower = planned(blouse(["B", "C", "D"])).piece("Sleeve")
    after = before.with_pieces([lower])
    tucks = [
        {"side": side, "from_shoulder": at, "width": 4.5}
        for side in ("back", "front")
        for at in (47.0, 66.0)
    ]
    rows = {
        size: {
            "ease_before": {"back": 25.0, "front": 22.0},
            "manner": "tuck",
            "depth": 60.0,
            "tucks": tucks,
            "strain_in_words": f"the paper of size {size} lies nearly flat by itself, it is said",
        }
        for size in before.sizes
    }
    cloth = {"name": "firm woven", "source": "common practice, no source"}
    over = tuple(
        Finding(
            code="seam.over",
            severity=Severity.ERROR,
            message=f"size {size} holds too much",
            seam=before.seams[0].name,
            size=size,
            hint="fold it out",
        )
        for size in before.sizes
    )
    return Record(
        before=before,
        after=after,
        steps=(
            StepRecord(use="walk/walk", kind="check", options={}, findings=over, looked_at=15),
            StepRecord(
                use="cap_ease/ease-cap",
                kind="alteration",
                options={"cloth": "firm woven", "from-shoulder": "57.15 mm"},
                figures={"sleeves": {"Sleeve": {"cloth": cloth, "sizes": rows}}},
                changed=tuple(("Sleeve", size) for size in before.sizes),
                moved={("Sleeve", size): 9.5 for size in before.sizes},
                invariants=(InvariantKept(name="bicep-width", moved=0.0, limit=1e-9),),
            ),
        ),
        inputs={"blouse.svg": "ab" * 32},
        versions={"seamwright": "0.1.0"},
    )


@pytest.fixture(scope="session")
def stepped_run(eased_run: Record) -> Record:
    """The same run, the pieces known after each of its steps."""
    return replace(eased_run, snapshots=(eased_run.before, eased_run.after))


def html_of(record: Record, units: str = "in") -> bytes:
    """The page as the registry's report "html" writes it."""
    report = Registry.discover(only=["report"]).reports.find("html").thing
    (part,) = report.run(record, report.options(), Context(units=units)).parts  # type: ignore[arg-type]
    return bytes(part.data)


def planned(pattern: Pattern) -> Pattern:
    """The pattern with the demonstration's plan laid on it."""
    text = files("seamwright.demo").joinpath("data/chorus-blouse.plan.toml").read_text("utf-8")
    return apply_plan(pattern, load_plan(text, "chorus-blouse.plan.toml"))[0]


@pytest.fixture(scope="session")
def checked_run() -> Record:
    """A check of the blouse in one size that altered nothing."""
    pattern = planned(blouse(["C"]))
    step = StepRecord(use="walk/walk", kind="check", options={}, looked_at=5)
    return Record(before=pattern, after=pattern, steps=(step,))


def square(name: str, size: str, side: float = 100.0) -> Piece:
    """A square piece in one size."""
    corners = [(0.0, side), (0.0, 0.0), (side, 0.0), (side, side)]
    outline = Curve.polyline(corners, closed=True)
    return Piece(name=name, shapes=(build_shape(size=size, outline=outline),))


@pytest.fixture(scope="session")
def named_run() -> Callable[[str], Record]:
    """A record in which every name that a file can bring is the given text."""

    def make(text: str) -> Record:
        run = Run(parts=(RunPart(piece=text, marks=("corner-1", "corner-2")),))
        other = Run(parts=(RunPart(piece=text, marks=("corner-2", "corner-3")),))
        pattern = Pattern(
            name=text,
            pieces=(square(text, text),),
            sizes=(text,),
            base_size=text,
            seams=(Seam(name=text, sew=run, to=other),),
        )
        finding = Finding(
            code="some.code", severity=Severity.WARNING, message=text, piece=text, size=text,
            seam=text, edge=text, hint=text, file=text,
        )  # fmt: skip
        step = StepRecord(
            use=f"plugin/{text}",
            kind="check",
            options={text: text},
            findings=(finding,),
            skipped=text,
            figures={text: {text: {text: text}}, "list": [text], "rows": [{text: text}]},
            changed=((text, text),),
            invariants=(InvariantKept(name=text, moved=0.0, limit=1.0, where=text),),
            written=(text,),
            plugin=text,
        )
        return Record(
            before=pattern,
            after=pattern,
            steps=(step,),
            read_findings=(finding,),
            inputs={text: "00" * 32},
            versions={text: text},
        )

    return make


@pytest.fixture(scope="session")
def html() -> Callable[..., bytes]:
    """Writes a record's page, in a unit."""
    return html_of
