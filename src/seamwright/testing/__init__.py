"""The conformance kit that plugin authors run.

Import this from tests only: it needs pytest and hypothesis. Suites are classes to subclass
(`FormatSuite`, `StepSuite`, `ReportSuite`, `PluginSuite`); `strategies` draws patterns to try
things on; `assert_patterns_equal` compares two patterns field by field.

    class TestMyFormat(FormatSuite):
        format = "my-format"
        samples = Path(__file__).parent / "samples"

Names in this package are public: they are moved or renamed only with notice.
"""

from __future__ import annotations

from .equal import assert_patterns_equal, differences

__all__ = ["assert_patterns_equal", "differences"]
