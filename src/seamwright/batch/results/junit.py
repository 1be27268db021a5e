"""JUnit XML: a build server shows each style as a test.

The form is the one that such servers read (no standard body keeps it): testsuites, a testsuite for
the batch, a testcase for each style with `failure` for errors found, `error` for what could not be
done and `skipped` for what was not looked at.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Final
from xml.sax.saxutils import escape, quoteattr

from seamwright.findings import Finding, Severity

from ..rows import Head, JobResult
from .places import beside

_NO_XML: Final = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_MOST: Final = 200


def write_junit(
    results: Iterable[JobResult], heads: Sequence[Head], path: Path, *, fail_on: str = "error"
) -> None:
    """Writes the document. A style fails when it has a finding at or above `fail_on`."""
    limit = Severity(fail_on)
    failed = sum(h.done and h.worst is not None and Severity(h.worst).reaches(limit) for h in heads)
    errors = sum(not h.done for h in heads)
    skipped = sum(_skipped(h.done, h.looked_at, h.worst, limit) for h in heads)
    counts = (
        f'tests="{len(heads)}" failures="{failed}" errors="{errors}" skipped="{skipped}" time="0"'
    )
    with beside(path) as out:

        def put(text: str) -> None:
            out.write(text.encode("utf-8", "backslashreplace"))

        put('<?xml version="1.0" encoding="UTF-8"?>\n')
        put(f'<testsuites name="seamwright" {counts}>\n<testsuite name="styles" {counts}>\n')
        for result in results:
            put(_case(result, limit))
        put("</testsuite>\n</testsuites>\n")


def _skipped(done: bool, looked_at: int, worst: str | None, limit: Severity) -> bool:
    bad = worst is not None and Severity(worst).reaches(limit)
    return done and not looked_at and not bad


def _case(result: JobResult, limit: Severity) -> str:
    folder, _, name = result.style.rpartition("/")
    head = (
        f"<testcase classname={_attribute(folder.replace('/', '.') or 'styles')} "
        f'name={_attribute(name)} file={_attribute(result.file)} time="0">'
    )
    bad = [f for f in result.findings if f.severity.reaches(limit)]
    counted = result.worst is not None and Severity(result.worst).reaches(limit)
    if not result.done:
        inner = (
            f"<error type={_attribute(result.status.value)} message={_attribute(result.reason)}>"
        )
        inner += f"{_lines(result.findings)}</error>"
    elif counted and bad:
        more = f" and {len(bad) - 1} more" if len(bad) > 1 else ""
        inner = f"<failure type={_attribute(bad[0].code)} "
        inner += f"message={_attribute(bad[0].message + more)}>{_lines(bad)}</failure>"
    elif not result.looked_at:
        inner = f"<skipped message={_attribute(result.skipped or 'nothing was looked at')}/>"
    else:
        inner = ""
    return f"{head}{inner}</testcase>\n"


def _lines(findings: Sequence[Finding]) -> str:
    out = []
    for f in findings[:_MOST]:
        where = ", ".join(str(w) for w in (f.seam or f.piece, f.size and f"size {f.size}") if w)
        rule = f" [{f.rule}]" if f.rule else ""
        out.append(f"{f.severity.value}: {f.message}" + (f" ({where})" if where else "") + rule)
    if len(findings) > _MOST:
        out.append(f"and {len(findings) - _MOST} more")
    return escape(_clean("\n".join(out)))


def _attribute(text: str) -> str:
    return quoteattr(_clean(text)[:1000])


def _clean(text: str) -> str:
    """Without the characters that XML cannot hold (XML 1.0, production 2)."""
    return _NO_XML.sub("\ufffd", text)
