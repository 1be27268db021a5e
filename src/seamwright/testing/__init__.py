"""The conformance kit that plugin authors run.

Import this from tests only: it needs pytest and hypothesis. Suites are classes to subclass
(`FormatSuite`, `StepSuite`, `ReportSuite`, `PluginSuite`); `strategies` draws patterns to try
things on; `assert_patterns_equal` compares two patterns field by field.

    class TestMyFormat(FormatSuite):
        format = "my-format"
        samples = Path(__file__).parent / "samples"

A test is skipped only because the descriptor declares that it cannot hold, and says so. Names in
this package are public: they are moved or renamed only with notice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from .equal import assert_patterns_equal, differences

if TYPE_CHECKING:
    from .formats import FormatSuite as FormatSuite
    from .plugins import PluginSuite as PluginSuite
    from .reports import ReportSuite as ReportSuite
    from .steps import StepSuite as StepSuite

_SUITES = {
    "FormatSuite": "formats",
    "PluginSuite": "plugins",
    "ReportSuite": "reports",
    "StepSuite": "steps",
}

__all__ = [
    "FormatSuite", "PluginSuite", "ReportSuite", "StepSuite", "assert_patterns_equal",
    "differences",
]  # fmt: skip


def __getattr__(name: str) -> Any:
    # pytest and hypothesis are wanted by the suites only.
    if name in _SUITES:
        from importlib import import_module  # noqa: PLC0415

        return getattr(import_module(f".{_SUITES[name]}", __name__), name)
    raise AttributeError(name)
