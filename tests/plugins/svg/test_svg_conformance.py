"""The kit that plugin authors run, run on our own format."""

from __future__ import annotations

from pathlib import Path

from seamwright.testing.formats import FormatSuite
from seamwright.testing.plugins import PluginSuite


class TestFormat(FormatSuite):
    format = "svg"
    samples = Path(__file__).parent / "samples"


class TestPlugin(PluginSuite):
    plugin = "svg"
