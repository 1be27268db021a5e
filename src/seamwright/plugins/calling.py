"""Calling into a plugin: what it raises becomes one finding with its name and version."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, ParamSpec, TypeVar

from seamwright.findings import Finding, SeamwrightError, Severity

from .descriptors import Code
from .loading import debugging
from .names import Entry

_OF_THE_CORE = ("plan.",)  # a plan that travels in a file is laid on by the core
P = ParamSpec("P")
R = TypeVar("R")


def call(entry: Entry[Any], work: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
    """`work` of that entry. Raises SeamwrightError only: the plugin's own, with its name put in;
    plugin.library-missing; or plugin.raised for anything else (as it is under
    SEAMWRIGHT_DEBUG)."""
    try:
        return work(*args, **kwargs)
    except SeamwrightError as error:
        if error.finding.plugin is not None:
            raise
        raise SeamwrightError(
            error.finding.but(plugin=entry.full), others=error.others
        ) from error.__cause__
    except ImportError as error:
        missing = _library(error, entry)
        if missing is None:
            raise _raised(entry, error) from error
        raise SeamwrightError.of(
            "plugin.library-missing",
            f"{entry.full} needs {missing}, which is not installed",
            hint=f"pip install {missing}",
            plugin=entry.full,
        ) from error
    except Exception as error:
        if debugging():
            raise
        raise _raised(entry, error) from error


def signed(
    entry: Entry[Any],
    findings: Iterable[Finding],
    codes: Iterable[Code],
    *,
    file: str | None = None,
    also: str | None = None,
) -> tuple[Finding, ...]:
    """The findings with plugin and file put in; codes that it never declared are told of.

    also  a name by which the plugin knows the file; `file` is what the user calls it
    """
    declared = {code.code for code in codes}
    out: list[Finding] = []
    strange: dict[str, None] = {}
    for finding in findings:
        if finding.code not in declared and not finding.code.startswith(_OF_THE_CORE):
            strange[finding.code] = None
        changes: dict[str, Any] = {}
        if finding.plugin is None:
            changes["plugin"] = entry.full
        if file is not None and finding.file in (None, also):
            changes["file"] = file
        out.append(finding.but(**changes) if changes else finding)
    for code in strange:
        out.append(
            Finding(
                code="plugin.undeclared-code",
                severity=Severity.WARNING,
                message=f'{entry.full} reported "{code}", a code that it does not declare',
                hint=f"a fault of {entry.plugin.origin}: tell its author",
                plugin=entry.full,
                file=file,
            )
        )
    return tuple(out)


def _raised(entry: Entry[Any], error: BaseException) -> SeamwrightError:
    text = " ".join(str(error).split())[:300]
    return SeamwrightError.of(
        "plugin.raised",
        f"{entry.full} of {entry.plugin.origin} failed: {type(error).__name__}"
        + (f": {text}" if text else ""),
        hint="a fault of that plugin, not of your file or your options; with SEAMWRIGHT_DEBUG=1 "
        "the traceback is shown",
        plugin=entry.full,
    )


def _library(error: ImportError, entry: Entry[Any]) -> str | None:
    """The missing library, unless what is missing is a part of the plugin or of the core."""
    if not isinstance(error, ModuleNotFoundError) or not error.name:
        return None
    top = error.name.split(".")[0]
    own = entry.plugin.module.split(":")[0].split(".")[0]
    return None if top in (own, "seamwright") else top
