"""All findings, by the step that made them and then by kind, worst first."""

from __future__ import annotations

from collections.abc import Sequence

from seamwright.findings import Finding, Severity, in_order
from seamwright.plugins.api import Record

from .markup import Markup, el, name
from .say import Say

# As many findings of one kind stand open; more are folded away under their count.
OPEN_UP_TO = {Severity.ERROR: 12, Severity.WARNING: 12, Severity.NOTE: 3}


def finding_list(record: Record, say: Say, most: int) -> Markup:
    """Every finding, or as many of one kind as are asked for and the count of the rest."""
    groups = [("Reading", record.read_findings)]
    groups += [
        (f"Step {number}, {step.use.rpartition('/')[2]}", step.findings)
        for number, step in enumerate(record.steps, start=1)
    ]
    parts = [_group(title, findings, say, most) for title, findings in groups if findings]
    if not parts:
        return el("p", "None.")
    return el("div", parts)


def _group(title: str, findings: Sequence[Finding], say: Say, most: int) -> Markup:
    kinds: dict[tuple[int, str], list[Finding]] = {}
    for finding in in_order(findings):
        kinds.setdefault((-finding.severity.rank, finding.code), []).append(finding)
    return el("section", el("h3", title), [_kind(k, say, most) for k in kinds.values()])


def _kind(findings: list[Finding], say: Say, most: int) -> Markup:
    first = findings[0]
    count = len(findings)
    summary = el(
        "summary",
        _badge(first),
        " ",
        el("code", first.code),
        el("span", f" × {count}", class_="soft") if count > 1 else None,
    )
    items = [_item(f, say) for f in findings[:most]]
    rest = count - most
    if rest > 0:
        told = f"{rest} more of this kind are not listed here; a report as JSON holds them all."
        items.append(el("li", told, class_="soft"))
    return el(
        "details",
        summary,
        el("ul", items, class_="found"),
        open=count <= OPEN_UP_TO[first.severity],
        class_=f"kind {first.severity.value}",
    )


def _badge(finding: Finding) -> Markup:
    return el("span", finding.severity.value, class_=f"badge {finding.severity.value}")


def _item(finding: Finding, say: Say) -> Markup:
    place: list[object] = []
    for what, value in (
        ("piece", finding.piece),
        ("size", finding.size),
        ("seam", finding.seam),
        ("edge", finding.edge),
    ):
        if value:
            place += [" · " if place else "", f"{what} ", name(value)]
    if finding.line is not None:
        place += [" · " if place else "", f"line {finding.line}"]
    return el(
        "li",
        el("span", finding.message),
        el("span", " mended by the reader", class_="soft") if finding.repaired else None,
        el("div", place, class_="soft") if place else None,
        el("div", "To do: ", finding.hint, class_="hint") if finding.hint else None,
    )
