"""Every bundled plugin runs the kit that strangers run."""

from __future__ import annotations

from importlib.metadata import entry_points
from typing import Any, ClassVar

import pytest

from seamwright.plugins.registry import Registry
from seamwright.testing import FormatSuite, PluginSuite, ReportSuite

BUNDLED = sorted(p.name for p in entry_points(group="seamwright.plugins") if p.dist is not None)


@pytest.mark.parametrize("name", BUNDLED)
class TestEveryPlugin(PluginSuite):
    @pytest.fixture(autouse=True)
    def _this(self, name: str, request: pytest.FixtureRequest) -> None:
        request.instance.plugin = name


class TestJson(FormatSuite):
    format = "json"


class TestSvg(FormatSuite):
    format = "svg"


class TestDxf(FormatSuite):
    format = "dxf"


class TestHpgl(FormatSuite):
    format = "hpgl"
    write_options: ClassVar = {"layout": "rows"}


class TestPdf(FormatSuite):
    format = "pdf"
    write_options: ClassVar = {
        "paper": "one sheet"
    }  # tiles have tests of their own, and take longer


class TestPng(FormatSuite):
    format = "png"


class TestHtmlReport(ReportSuite):
    report = "report/html"


class TestJsonReport(ReportSuite):
    report = "report/json"


class TestTextReport(ReportSuite):
    report = "report/text"


def test_everything_bundled_is_loaded() -> None:
    rows: Any = Registry.discover().rows
    assert {r.name: r.status for r in rows} == dict.fromkeys(BUNDLED, "loaded")
