"""The summary page: all styles worst first, each with a page of its own.

Plain HTML without script; nothing is loaded from elsewhere; names from files are text.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from html import escape
from pathlib import Path
from typing import Final
from urllib.parse import quote

from seamwright.plugins.sink import put
from seamwright.units import format_length

from ..rows import Head, JobResult, SeamRow, Status, Verdict

STYLES: Final = "styles"
_MOST_FINDINGS: Final = 500
_CSS: Final = """
:root{--ink:#1f2a30;--paper:#fdfcf9;--soft:#5a666d;--line:#d8d3c6;--bad:#a8320a;--ok:#20603d;
--wash:#f3efe4}
@media(prefers-color-scheme:dark){:root{--ink:#e8e6df;--paper:#16191b;--soft:#a8b0b4;
--line:#3c4348;--bad:#f0a080;--ok:#8fd0a8;--wash:#20262a}}
body{font:16px/1.5 system-ui,"DejaVu Sans",sans-serif;color:var(--ink);background:var(--paper);
margin:0 auto;max-width:70rem;padding:1rem 1.2rem 3rem}
h1{font-size:1.5rem;line-height:1.25}a{color:inherit}
.scroll{overflow-x:auto}table{border-collapse:collapse;font-variant-numeric:tabular-nums}
th,td{border-bottom:1px solid var(--line);padding:.3rem .7rem;text-align:left;vertical-align:top}
th{font-weight:600;color:var(--soft)}td.name{min-width:11rem}td.n,th.n{text-align:right;white-space:nowrap}
.bad{color:var(--bad);font-weight:600}.ok{color:var(--ok)}.soft{color:var(--soft)}
.lead{background:var(--wash);padding:.7rem 1rem;border-left:4px solid var(--line)}
@media print{body{max-width:none;color:#000;background:#fff}}
"""


def write_summary(
    results: Iterable[JobResult],
    heads: Sequence[Head],
    folder: Path,
    *,
    units: str = "mm",
    total: int,
    reports: dict[str, list[str]],
) -> list[Path]:
    """Writes index.html and a page for each style below `folder`: the paths, index first.

    total    how many styles the batch had; those that were not reached are counted
    reports  style -> pages that its pipeline wrote, as links from `folder`
    """
    (folder / STYLES).mkdir(parents=True, exist_ok=True)
    pages: dict[str, str] = {}
    made: list[Path] = []
    for number, result in enumerate(results):
        name = f"{STYLES}/{number + 1:05}.html"
        pages[result.style] = name
        _put(folder / name, _style_page(result, units, reports.get(result.style, [])))
        made.append(folder / name)
    _put(folder / "index.html", _index(heads, pages, units, total, reports))
    return [folder / "index.html", *made]


def _put(path: Path, html: str) -> None:
    put({path: html.encode("utf-8", "backslashreplace")}, overwrite=True)


# -- the index --------------------------------------------------------------------------------


def _index(
    heads: Sequence[Head],
    pages: dict[str, str],
    units: str,
    total: int,
    reports: dict[str, list[str]],
) -> str:
    bad = [h for h in heads if h.worst == "error" and h.done]
    lost = [h for h in heads if not h.done]
    unseen = [h for h in heads if h.done and not h.looked_at]
    told = [f"{len(heads)} of {total} styles were done with or tried."]
    told.append(f"{len(lost)} could not be done." if lost else "None failed.")
    told.append(f"{len(bad)} have errors." if bad else "None has an error.")
    if unseen:
        told.append(f"{len(unseen)} were not checked: there was nothing to look at, or no plan.")
    rows = "".join(
        _row(h, pages[h.style], units, reports) for h in sorted(heads, key=lambda h: h.badness)
    )
    head = _cells(
        "th", ["style", "what became of it", "out of range", "worst by", "errors", "warnings", ""]
    )
    body = (
        f'<h1>Styles, worst first</h1><p class="lead">{escape(" ".join(told))}</p>'
        f'<div class="scroll"><table><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>'
        "</div>"
    )
    return _page("Styles, worst first", body)


def _row(head: Head, page: str, units: str, reports: dict[str, list[str]]) -> str:
    if not head.done:
        state = f'<span class="bad">{escape(head.status.value)}</span>: {escape(head.reason)}'
    elif not head.looked_at:
        state = f'<span class="soft">not checked</span> {escape(head.skipped)}'
    elif head.worst == "error":
        state = '<span class="bad">errors</span>'
    else:
        state = '<span class="ok">no errors</span>'
    worst = format_length(head.beyond, units) if head.beyond else ""
    links = " ".join(f'<a href="{quote(name)}">report</a>' for name in reports.get(head.style, []))
    return (
        f'<tr><td><a href="{quote(page)}">{escape(head.style)}</a></td><td>{state}</td>'
        f'<td class="n">{head.out_of_range or ""}</td><td class="n">{escape(worst)}</td>'
        f'<td class="n">{head.errors or ""}</td><td class="n">{head.warnings or ""}</td>'
        f"<td>{links}</td></tr>"
    )


# -- the page of one style ----------------------------------------------------------------------


def _style_page(result: JobResult, units: str, reports: list[str]) -> str:
    parts = [
        '<p><a href="../index.html">All styles</a></p>',
        f"<h1>{escape(result.style)}</h1>",
        f'<p class="soft">{escape(result.file)}'
        + (f", plan: {escape(result.plan)}" if result.plan else "")
        + (f", pipeline: {escape(result.pipeline)}" if result.pipeline else "")
        + "</p>",
        f'<p class="lead">{_verdict(result)}</p>',
        "".join(
            f'<p><a href="{quote("../" + name)}">The report of its pipeline</a></p>'
            for name in reports
        ),
        _matrix(result, units),
        _findings(result),
    ]
    return _page(result.style, "".join(parts))


def _verdict(result: JobResult) -> str:
    if result.status is not Status.DONE:
        return f'<span class="bad">{escape(result.status.value)}</span>: {escape(result.reason)}'
    if not result.looked_at:
        return f"Nothing was checked: {escape(result.skipped or 'there was nothing to look at')}."
    bad = sum(r.verdict in (Verdict.OVER, Verdict.UNDER) for r in result.seams)
    if bad:
        return f'<span class="bad">{bad} of {len(result.seams)}</span> seams are out of range.'
    return f'<span class="ok">All {len(result.seams)} seams that were walked are in range.</span>'


def _matrix(result: JobResult, units: str) -> str:
    """Seams by sizes: the ease, with what is allowed."""
    by: dict[str, dict[str, SeamRow]] = {}
    for row in result.seams:
        by.setdefault(row.seam, {})[row.size] = row
    if not by:
        return ""
    rows = []
    for seam, own in sorted(by.items(), key=lambda kv: -max(r.beyond for r in kv[1].values())):
        cells = "".join(f"<td class=n>{_ease(own.get(size), units)}</td>" for size in result.sizes)
        some = next(iter(own.values()))
        allowed = _range(some, units)
        rows.append(f"<tr><td class=name>{escape(seam)}</td><td class=n>{allowed}</td>{cells}</tr>")
    head = _cells("th", ["seam", "ease allowed", *result.sizes])
    return (
        '<h2>Ease of every seam in every size</h2><div class="scroll"><table><thead><tr>'
        f"{head}</tr></thead><tbody>{''.join(rows)}</tbody></table></div>"
    )


def _ease(row: SeamRow | None, units: str) -> str:
    if row is None:
        return ""
    ease = row.ease if abs(row.ease) >= 0.005 else 0.0  # what no tape can tell
    text = escape(format_length(ease, units, rough=True))
    if row.verdict is Verdict.OVER:
        return f'<span class="bad">{text} over</span>'
    if row.verdict is Verdict.UNDER:
        return f'<span class="bad">{text} under</span>'
    return text


def _range(row: SeamRow, units: str) -> str:
    if row.at_least is None or row.at_most is None:
        return ""
    return escape(f"{format_length(row.at_least, units)} to {format_length(row.at_most, units)}")


def _findings(result: JobResult) -> str:
    if not result.findings:
        return ""
    rows = "".join(_finding_rows(result))
    more = len(result.findings) - _MOST_FINDINGS
    rest = f'<p class="soft">and {more} more</p>' if more > 0 else ""
    head = _cells("th", ["", "where", "what", "to do", "rule"])
    return (
        f'<h2>Findings</h2><div class="scroll"><table><thead><tr>{head}</tr></thead>'
        f"<tbody>{rows}</tbody></table></div>{rest}"
    )


def _finding_rows(result: JobResult) -> Iterator[str]:
    for f in result.findings[:_MOST_FINDINGS]:
        where = [f.seam or f.piece or "", f"size {f.size}" if f.size else ""]
        state = "bad" if f.severity.value == "error" else "soft"
        yield (
            f'<tr><td class="{state}">{f.severity.value}</td>'
            f"<td>{escape(', '.join(w for w in where if w))}</td>"
            f"<td>{escape(f.message)} <span class=soft>[{escape(f.code)}]</span></td>"
            f"<td>{escape(f.hint or '')}</td><td>{escape(f.rule or '')}</td></tr>"
        )


def _cells(tag: str, texts: Sequence[str]) -> str:
    return "".join(f"<{tag}>{escape(text)}</{tag}>" for text in texts)


def _page(title: str, body: str) -> str:
    return (
        '<!doctype html><html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
        "style-src 'unsafe-inline'\">"
        f"<title>{escape(title)}</title><style>{_CSS}</style></head>"
        f"<body><main>{body}</main></body></html>\n"
    )
