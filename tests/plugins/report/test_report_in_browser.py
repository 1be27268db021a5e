"""The page in a real browser: silent, alone, within its width, with scripts and without."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from seamwright.plugins.api import Context, Record
from seamwright.plugins.registry import Registry

HOSTILE = "</script><img src=x onerror=alert(1)>"
LONG = "sleeve" * 40


@pytest.fixture
def page(tmp_path: Path) -> Callable[[Record], Path]:
    """Writes a record's page to a file."""

    def write(record: Record) -> Path:
        report = Registry.discover(only=["report"]).reports.find("html").thing
        (part,) = report.run(record, report.options(), Context(units="in")).parts
        file = tmp_path / "page.html"
        file.write_bytes(part.data)
        return file

    return write


@pytest.mark.parametrize("width", [1280, 360])
@pytest.mark.parametrize("js", [True, False])
def test_silent_alone_and_within_its_width(
    browser: Any, page: Callable[[Record], Path], eased_run: Record, width: int, js: bool
) -> None:
    file = page(eased_run)
    opened = browser.open(file, width=width, js=js)
    assert opened.complaints() == []
    assert opened.requests() == [file.as_uri()]
    assert opened.value("document.documentElement.scrollWidth") <= width
    # Nothing that is no scroller of its own sticks out on the right.
    out = opened.value(
        "[...document.querySelectorAll('main *, header *, footer *')].filter(e =>"
        "!e.closest('.wide, svg') && e.getBoundingClientRect().right > innerWidth + 0.5)"
        ".map(e => e.tagName + '.' + e.className)"
    )
    assert out == []
    opened.close()


@pytest.mark.parametrize("js", [True, False])
def test_the_size_buttons_work(
    browser: Any, page: Callable[[Record], Path], eased_run: Record, js: bool
) -> None:
    opened = browser.open(page(eased_run), js=js)
    shown = (
        "[...document.querySelectorAll('.plate.cap g.z')]"
        ".filter(g => getComputedStyle(g).display != 'none').map(g => g.classList[1])"
    )
    assert opened.value(shown) == ["z1"]  # the base size
    opened.click("label[for=s2]")
    assert opened.value(shown) == ["z2"]
    opened.key("ArrowLeft")  # as a keyboard does it
    assert opened.value(shown) == ["z1"]
    opened.close()


@pytest.mark.parametrize("name", [HOSTILE, LONG])
@pytest.mark.parametrize("width", [1280, 360])
def test_names_from_a_file_do_no_harm(
    browser: Any,
    page: Callable[[Record], Path],
    named_run: Callable[[str], Record],
    name: str,
    width: int,
) -> None:
    file = page(named_run(name))
    opened = browser.open(file, width=width)
    assert opened.complaints() == []
    assert opened.requests() == [file.as_uri()]
    assert opened.value("document.images.length") == 0
    assert opened.value("[...document.scripts].map(s => s.type)") == ["application/json", ""]
    assert opened.value("document.querySelector('h1').textContent") == name
    assert opened.value("document.documentElement.scrollWidth") <= width
    opened.close()


def test_it_prints(browser: Any, page: Callable[[Record], Path], eased_run: Record) -> None:
    """On paper the size buttons are gone and every size's folds are there."""
    opened = browser.open(page(eased_run))
    opened.ask("Emulation.setEmulatedMedia", media="print")
    assert opened.value("getComputedStyle(document.querySelector('nav.bar')).display") == "none"
    assert opened.value("document.querySelectorAll('.folds tbody tr').length") == 3
    data = opened.ask("Page.printToPDF", preferCSSPageSize=True)["data"]
    assert len(data) > 10_000
    opened.close()
