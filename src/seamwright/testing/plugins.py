"""What every plugin must hold: light to declare, described, its pages true."""

from __future__ import annotations

import re
import subprocess
import sys
from typing import Any, ClassVar

import pytest

from seamwright.pipeline import Pipeline
from seamwright.plugins.api import Format
from seamwright.plugins.names import Entry
from seamwright.plugins.option_table import option_rows
from seamwright.plugins.pages import page_text
from seamwright.plugins.registry import Registry

HEAVY = ("numpy", "scipy", "shapely", "ezdxf", "svgelements", "rich")
_HEADINGS = ("What it does", "Why", "Options", "Findings", "Limits", "Source")


class PluginSuite:
    """Conformance of one installed plugin.

    Must override: plugin (the name of its entry point).
    Don't override: the tests.
    """

    plugin: ClassVar[str]

    def entries(self) -> list[Entry[Any]]:
        """Everything that the plugin offers."""
        registry = Registry.discover()
        shelves: tuple[Any, ...] = (registry.formats, registry.steps, registry.reports)
        found = [e for shelf in shelves for e in shelf if e.plugin.name == self.plugin]
        assert found, f"plugin {self.plugin} offers nothing, or was not loaded"
        return found

    def test_declaring_is_light(self) -> None:
        """Importing the declaration brings in none of the heavy libraries."""
        module = self.entries()[0].plugin.module.split(":")[0]
        code = f"import sys, {module}; print(*[m for m in {HEAVY!r} if m in sys.modules])"
        out = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        ).stdout.split()
        assert out == [], f"{module} imports {', '.join(out)}"

    def test_every_option_is_described(self) -> None:
        for entry in self.entries():
            for options in _options_of(entry.thing):
                for row in option_rows(options):
                    assert row.help.strip(), f"{entry.full}: {row.name} has no help"

    def test_every_code_says_why_and_what_to_do(self) -> None:
        for entry in self.entries():
            for code in getattr(entry.thing, "codes", ()):
                assert code.title and code.why and code.remedy, code.code
                assert re.fullmatch(r"[a-z0-9-]+(\.[a-z0-9-]+)+", code.code), code.code

    def test_pages_are_there_and_whole(self) -> None:
        for entry in self.entries():
            text = page_text(entry)
            assert text, f"{entry.full} has no page"
            for heading in _HEADINGS:
                if heading == "Findings" and not getattr(entry.thing, "codes", ()):
                    continue
                assert f"## {heading}" in text, f"{entry.full}: no heading {heading!r}"
            for code in getattr(entry.thing, "codes", ()):
                assert code.code in text, f"{entry.full}: {code.code} is not on its page"

    def test_examples_on_pages_can_be_prepared(self) -> None:
        examples = [
            (entry, example)
            for entry in self.entries()
            for example in re.findall(r"```toml\n(.*?)```", page_text(entry) or "", flags=re.S)
            if "[[step]]" in example
        ]
        if not examples and all(isinstance(e.thing, Format) for e in self.entries()):
            pytest.skip("a format's page needs no pipeline")
        for entry, example in examples:
            try:
                Pipeline.loads(example).prepare()
            except Exception as error:
                raise AssertionError(f"{entry.full}: the example fails: {error}") from error


def _options_of(thing: Any) -> list[type[Any]]:
    if isinstance(thing, Format):
        return [side.options for side in (thing.reader, thing.writer) if side is not None]
    return [thing.options]
