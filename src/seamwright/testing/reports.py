"""What a report must hold: subclass `ReportSuite` and name the report."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from hypothesis import given

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.model import Pattern
from seamwright.plugins.api import Context, Record, Report
from seamwright.plugins.building import build
from seamwright.plugins.registry import Registry

from .profile import tries
from .strategies import patterns

HOSTILE = '</script><img src=x onerror="alert(1)"> & \u202e'


class ReportSuite:
    """Conformance of one report.

    Must override: report (short or full name). May override: options.
    Don't override: the tests.
    """

    report: ClassVar[str]
    options: ClassVar[Mapping[str, Any]] = {}

    def make(self, record: Record) -> dict[str, bytes]:
        """Suffix -> bytes."""
        thing: Report[Any] = Registry.discover().reports.find(self.report).thing
        options = build(thing.options, self.options)
        return {p.suffix: p.data for p in thing.run(record, options, Context()).parts}

    @tries(4)
    @given(pattern=patterns())
    def test_a_run_without_findings(self, pattern: Pattern) -> None:
        record = Record(before=pattern, after=pattern)
        first = self.make(record)
        assert first[""]
        assert first == self.make(record)

    @tries(3)
    @given(pattern=patterns(max_pieces=1))
    def test_ten_thousand_findings(self, pattern: Pattern) -> None:
        many = tuple(
            Finding(
                code="seam.over",
                severity=Severity.ERROR,
                message=f"seam {i} is too long",
                seam=f"seam {i}",
                size=pattern.base_size,
                measured=float(i),
            )
            for i in range(10_000)
        )
        data = self.make(Record(before=pattern, after=pattern, read_findings=many))[""]
        assert b"10" in data and len(data) < 20_000_000

    @tries(3)
    @given(pattern=patterns(max_pieces=1))
    def test_hostile_names_stay_text(self, pattern: Pattern) -> None:
        piece = pattern.pieces[0].but(name=HOSTILE)
        named = pattern.but(name=HOSTILE, pieces=(piece,), seams=())
        finding = Finding(
            code="seam.over", severity=Severity.WARNING, message=HOSTILE, piece=HOSTILE
        )
        data = self.make(Record(before=named, after=named, read_findings=(finding,)))
        text = data[""].decode("utf-8")
        if text.lstrip().casefold().startswith(("<!doctype", "<html", "<svg", "<?xml")):
            assert "<img src=x" not in text

    def test_unknown_options_are_refused(self) -> None:
        thing = Registry.discover().reports.find(self.report).thing
        try:
            build(thing.options, {"no-such-option": 1})
        except SeamwrightError:
            return
        raise AssertionError("an unknown option was taken")
