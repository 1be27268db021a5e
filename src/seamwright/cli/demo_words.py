"""What the demonstration did, in a table and a few lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from seamwright.findings import Finding, Severity
from seamwright.model.seam import CapSide
from seamwright.paper import about
from seamwright.plugins.record import Record

from .demo_run import BY_HAND, SEVEN, Made
from .run_document import Outcome, standing
from .run_document import document as run_document
from .tables import Table, plain

HALVES: Final[tuple[CapSide, ...]] = ("back", "front")


@dataclass(frozen=True, slots=True, kw_only=True)
class CapRow:
    """The cap in one size, before and after; mm. at_most: what the plan allows each half.
    tucks: widths; places: down the cap from the shoulder point."""

    size: str
    before: Mapping[str, float]
    after: Mapping[str, float]
    at_most: Mapping[str, float]
    tucks: Mapping[str, Sequence[float]]
    places: Sequence[float]
    lower: float
    bicep_moved: float

    @property
    def total(self) -> float:
        """Ease in all, before."""
        return sum(self.before.values())

    @property
    def right(self) -> bool:
        """Whether both halves hold what the plan allows, to 0.05 mm."""
        return all(self.after[h] <= self.at_most[h] + 0.05 for h in HALVES)


def cap_rows(record: Record) -> list[CapRow]:
    """The cap in every size. Ease is that of the record's own measures; tucks stand in the
    figures of the step that folded them."""
    seams = {seam.name: seam for seam in record.after.seams if seam.cap}
    first, last = record.steps[0].seams_before, record.steps[-1].seams_after
    before = {(seams[m.seam].cap, m.size): m.ease for m in first if m.seam in seams}
    after = {(seams[m.seam].cap, m.size): m.ease for m in last if m.seam in seams}
    most = {seam.cap: seam.ease.at_most for seam in seams.values() if seam.ease}
    folded = _folded(record)
    rows = []
    for size in record.after.sizes:
        if any((half, size) not in before for half in HALVES):
            continue
        own = folded.get(size, {})
        tucks = own.get("tucks", ())
        rows.append(
            CapRow(
                size=size,
                before={h: before[h, size] for h in HALVES},
                after={h: after[h, size] for h in HALVES},
                at_most={h: most.get(h, 0.0) for h in HALVES},
                tucks={h: [t["width"] for t in tucks if t["side"] == h] for h in HALVES},
                places=[t["from_shoulder"] for t in tucks],
                lower=own.get("cap_height_before", 0.0) - own.get("cap_height_after", 0.0),
                bicep_moved=abs(own.get("bicep_after", 0.0) - own.get("bicep_before", 0.0)),
            )
        )
    return rows


def _folded(record: Record) -> dict[str, Mapping[str, Any]]:
    """Size -> what the easing step says of it."""
    out: dict[str, Mapping[str, Any]] = {}
    for step in record.steps:
        for sleeve in step.figures.get("sleeves", {}).values():
            out.update(sleeve["sizes"])
    return out


def summary(made: Made, folder: Path) -> list[str]:
    """A table of the sizes, what was wrong, what was done, how it is now, and what to open."""
    unit = made.units
    records = {ran.stem: ran.record for ran in made.runs}
    rows = cap_rows(records[SEVEN])
    return [
        f"A blouse for a theatre's chorus, {len(rows)} sizes; all data is invented.",
        "",
        *_table(rows, unit),
        "",
        *_said("What was wrong", _wrong(rows, unit)),
        *_said("What was done", _done(rows, unit)),
        *_said("How it is now", _now(rows, records[SEVEN], unit)),
        *_said("Drawn by hand", _by_hand(records[BY_HAND])),
        *_left(records[BY_HAND]),
        "",
        "Open",
        *_files(made, folder),
        "",
        f"Try it yourself: seamwright check {_quoted(folder / f'{SEVEN}.svg')}",
    ]


def _table(rows: Iterable[CapRow], unit: str) -> list[str]:
    table = Table(
        ["size", "ease back", "ease front", "fold out back", "fold out front", "cap lower"]
    )
    for row in rows:
        table.add(
            row.size,
            *(f"{about(row.before[h], unit)} -> {about(row.after[h], unit)}" for h in HALVES),
            *(_widths(row.tucks[h], unit) for h in HALVES),
            about(row.lower, unit),
        )
    return plain(table).splitlines()


def _widths(widths: Sequence[float], unit: str) -> str:
    if not widths:
        return "nothing"
    each = list(dict.fromkeys(about(w, unit) for w in widths))
    return f"{len(widths)} x {each[0]}" if len(each) == 1 else ", ".join(each)


def _wrong(rows: Sequence[CapRow], unit: str) -> str:
    over = [r for r in rows if any(r.before[h] > r.at_most[h] + 0.05 for h in HALVES)]
    if not over:
        return "nothing: the cap held no more than the plan allows."
    totals = sorted(r.total for r in over)
    limits = ", ".join(f"{h} {about(over[0].at_most[h], unit)}" for h in HALVES)
    return (
        f"the sleeve cap is {_range(totals, unit)} longer than the armhole in "
        f"{_sizes(over, rows)}. A firm cotton takes in no more than this: {limits}."
    )


def _done(rows: Sequence[CapRow], unit: str) -> str:
    counts = sorted({len(r.tucks[h]) for r in rows for h in HALVES} - {0})
    places = [p for r in rows for p in r.places]
    if not counts:
        return "nothing was folded."
    told = str(counts[0]) if len(counts) == 1 else f"{counts[0]} to {counts[-1]}"
    middle = sum(places) / len(places)
    return (
        f"it was folded out in {told} tucks a side, about {about(middle, unit)} down the cap from "
        "the shoulder point; the cap was pressed flat and its edge drawn anew."
    )


def _now(rows: Sequence[CapRow], record: Record, unit: str) -> str:
    right = [r for r in rows if r.right]
    out = []
    if right:
        each = ", ".join(f"{h} {_range(sorted(r.after[h] for r in right), unit)}" for h in HALVES)
        out.append(f"ease {each} in {_sizes(right, rows)}.")
    wrong = [r.size for r in rows if not r.right]
    if wrong:
        out.append(f"Still too much in {', '.join(wrong)}.")
    moved = max((r.bicep_moved for r in rows), default=0.0)
    out.append(
        "The bicep line is exactly as wide as it was."
        if moved <= 1e-9
        else f"The bicep line changed by {about(moved, unit)}."
    )
    touched = {piece for step in record.steps for piece, _ in step.changed}
    same = [p.name for p in record.after.pieces if p.name not in touched]
    if same:
        out.append(f"{' and '.join(same)} are untouched.")
    return " ".join(out)


def _by_hand(record: Record) -> str:
    rows = cap_rows(record)
    if rows and all(row.right for row in rows):
        return "the one without layers, names or units has the same fault, and the same cure helps."
    return "in the one without layers, names or units the cap is not right yet."


def _left(record: Record) -> list[str]:
    """What still stands at the end of the drawing made by hand, and is no mere note."""
    found: list[Finding] = standing(Outcome(file=f"{BY_HAND}.svg", done=True, record=record))
    bad = [f for f in found if f.severity is not Severity.NOTE and not f.repaired]
    bad.sort(key=lambda f: -f.severity.rank)
    said = list(dict.fromkeys(f.message.rstrip(".") for f in bad))
    return [
        line
        for i, text in enumerate(said[:4])
        for line in _said("  and look at" if i == 0 else "", text)
    ]


def _range(values: Sequence[float], unit: str) -> str:
    low, high = about(values[0], unit), about(values[-1], unit)
    return low if low == high else f"{low} to {high}"


def _sizes(some: Sequence[CapRow], all_: Sequence[CapRow]) -> str:
    if len(some) == len(all_):
        return "every size"
    return f"{len(some)} of {len(all_)} sizes"


def _said(what: str, text: str) -> list[str]:
    from textwrap import wrap  # noqa: PLC0415 - printing only

    return wrap(
        text,
        96,
        initial_indent=f"{what:<16}",
        subsequent_indent=" " * 16,
        break_on_hyphens=False,
    )


def _files(made: Made, folder: Path) -> list[str]:
    shown = (
        (f"{SEVEN}-eased.html", "the report: what was wrong, what was done, where to fold"),
        (f"{SEVEN}-eased.svg", "the altered pieces in every size"),
        (f"{BY_HAND}-eased.html", "the report on the drawing made by hand"),
    )
    names = [(_quoted(folder / name), what) for name, what in shown if name in made.files]
    width = max((len(name) for name, _ in names), default=0)
    return [f"  {name:<{width}}  {what}" for name, what in names]


def _quoted(path: Path) -> str:
    return f'"{path}"' if " " in str(path) else str(path)


def document(made: Made, folder: Path) -> dict[str, Any]:
    """The demonstration as JSON: the folder, the files, and the runs as `run --json` has them."""
    outcomes = [Outcome(file=f"{ran.stem}.svg", done=True, record=ran.record) for ran in made.runs]
    found = [finding for outcome in outcomes for finding in standing(outcome)]
    return {"folder": str(folder), "files": list(made.files), **run_document(outcomes, found)}
