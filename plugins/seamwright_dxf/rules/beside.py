"""The rule table beside a drawing: found, read, its meaning settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seamwright.model import Foreign, GradeRules, Shape
from seamwright.plugins.api import Finding, SeamwrightError, Severity, Source

from ..meaning.units import unit_of_word
from ..options import DxfIn
from ..raw.lettering import choose
from .deltas import READINGS, Reading, decide, offsets_of
from .table import RuleTable, parse_table

FloatArray = NDArray[np.float64]

SUFFIXES = (".rul", ".rules")
"""Suffixes of rule tables: the usual one, and a neutral one."""

COMMENT = "rule table deltas: "
"""Begin of the comment by which our writer states what the numbers count from."""


@dataclass(slots=True)
class Beside:
    """A rule table, if there is one: its sizes and sample size at once, its rules when settled."""

    table: RuleTable | None = None
    sizes: tuple[str, ...] = ()
    sample: str = ""
    mm: float = 1.0
    asked: str = "auto"
    file: str | None = None
    comments: tuple[str, ...] = ()
    findings: list[Finding] = field(default_factory=list)
    foreign: tuple[Foreign, ...] = ()
    text: str = ""

    def settle(
        self, shapes: Mapping[int, Shape], names: Sequence[str], base: str, findings: list[Finding]
    ) -> GradeRules | None:
        """The rules as offsets from the sample size, or None where nothing decides the reading.

        The user's word counts first, then what a nest in the drawing shows, then what the
        numbers prove.
        """
        table = self.table
        if table is None or not table.rules:
            return None
        sample = table.sample or base
        if sample not in table.sizes:
            findings.append(
                Finding(
                    code="rules.sample-unknown",
                    severity=Severity.ERROR,
                    message=f'the rule table does not list the sample size "{sample}"; its rules '
                    "are not used",
                    file=self.file,
                    hint="say base-size = ...",
                )
            )
            self._aside()
            return None
        at = table.sizes.index(sample)
        if self.asked != "auto":
            reading: Reading | None = next(r for r in READINGS if r == self.asked)
            reason = "as asked"
        elif self._stated() is not None:
            reading, reason = self._stated(), "as the drawing's comment states"
        else:
            reading, reason = self._shown_by_nest(shapes, names, sample, at)
            if reading is None:
                found = decide(table.rules, at)
                reading, reason = found.reading, found.reason
        if reading is None:
            findings.append(
                Finding(
                    code="rules.reading-open",
                    severity=Severity.ERROR,
                    message="the rule table's numbers can be read in several ways, and nothing "
                    f"shows which is meant ({reason}); its rules are not used",
                    file=self.file,
                    hint='say deltas = "cumulative", "step-outward" or "step-ascending"',
                )
            )
            self._aside()
            return None
        findings.append(
            Finding(
                code="rules.reading",
                severity=Severity.NOTE,
                message=f"the rule table is read as {reading}: {reason}",
                file=self.file,
                hint="say deltas = ... if that is wrong",
            )
        )
        return GradeRules(
            name=table.name,
            author=table.author,
            date=" ".join(filter(None, (table.date, table.time))),
            sizes=table.sizes,
            base_size=sample,
            offsets={
                n: offsets_of(raw * self.mm, at, reading) for n, raw in sorted(table.rules.items())
            },
        )

    def facts(self, rules: GradeRules | None) -> dict[str, object] | None:
        """What the table says, for `info`; None where there is none."""
        table = self.table
        if table is None:
            return None
        return {
            "name": table.name,
            "author": table.author,
            "date": table.date,
            "time": table.time,
            "units": table.units,
            "version": table.version,
            "sizes": list(table.sizes),
            "sample_size": table.sample,
            "rules": sorted(table.rules),
            "used": rules is not None,
        }

    def _stated(self) -> Reading | None:
        """What a comment of our writer in the drawing says."""
        return next((r for r in READINGS if COMMENT + r in self.comments), None)

    def _aside(self) -> None:
        self.foreign = (Foreign(format="dxf", where="rule table", data=self.text),)

    def _shown_by_nest(
        self, shapes: Mapping[int, Shape], names: Sequence[str], sample: str, at: int
    ) -> tuple[Reading | None, str]:
        """The reading by which the drawn sizes move as the rules say, if one clearly does."""
        assert self.table is not None
        by_piece: dict[str, dict[str, Shape]] = {}
        for group, shape in shapes.items():
            by_piece.setdefault(names[group], {})[shape.size] = shape
        errors: dict[Reading, list[float]] = {r: [] for r in READINGS}
        for drawn in by_piece.values():
            base = drawn.get(sample)
            if base is None:
                continue
            for point in base.grade_points:
                raw = self.table.rules.get(point.rule)
                if raw is None or point.station is None or point.station.t != 0.0:
                    continue
                joint = point.station.segment
                start = base.seam_line.segments[joint, 0]
                for size, shape in drawn.items():
                    same = shape.seam_line.n == base.seam_line.n
                    if size == sample or size not in self.table.sizes or not same:
                        continue
                    moved = float(np.hypot(*(shape.seam_line.segments[joint, 0] - start)))
                    z = self.table.sizes.index(size)
                    for reading in READINGS:
                        offset = offsets_of(raw * self.mm, at, reading)[z]
                        # Lengths, not vectors: the axes of the rules are not known here.
                        errors[reading].append(abs(moved - float(np.hypot(*offset))))
        if not errors["cumulative"]:
            return None, ""
        mean = {r: float(np.mean(e)) for r, e in errors.items()}
        best = min(READINGS, key=lambda r: mean[r])
        others = [mean[r] for r in READINGS if r != best]
        if mean[best] <= 0.05 and all(m > 10.0 * max(mean[best], 0.01) for m in others):
            return best, "the sizes that are drawn move so"
        return None, ""


def rules_beside(
    source: Source, style: Mapping[str, str], options: DxfIn, comments: Sequence[str]
) -> Beside:
    """The rule table beside the drawing, read but not settled; a damaged one is an error finding
    and the drawing is read without it."""
    found = next((s for s in SUFFIXES if s in source.beside), None)
    wanted = style.get("Grade Rule Table", "")
    out = Beside(asked=options.deltas, comments=tuple(comments))
    if found is None:
        if wanted:
            out.findings.append(
                Finding(
                    code="rules.missing",
                    severity=Severity.NOTE,
                    message=f'the drawing names a rule table "{wanted}", and none lies beside it',
                    hint=f"put the table beside the drawing, under its name with the suffix "
                    f"{SUFFIXES[0]}",
                )
            )
        return out
    data = source.beside[found].removeprefix(b"\xef\xbb\xbf")
    lettering = choose(data, "", "", options.encoding)
    out.file = _beside_name(source.name, found)
    out.text = "\n".join(lettering.text(line) for line in data.splitlines())
    try:
        table = parse_table(out.text, file=out.file)
    except SeamwrightError as error:
        out.findings.append(error.finding)
        out._aside()
        return out
    out.findings += table.findings
    if table.other:
        shown = "; ".join(f"{k}: {v}" if k else v for k, v in table.other[:8])
        out.findings.append(
            Finding(
                code="rules.other-lines",
                severity=Severity.NOTE,
                message=f"{len(table.other)} lines of the rule table say nothing known: {shown}",
                file=out.file,
            )
        )
    unit = unit_of_word(table.units) if table.units else None
    if unit is None:
        unit = unit_of_word(style.get("Units", "")) or 1.0
        out.findings.append(
            Finding(
                code="unit.unknown",
                severity=Severity.WARNING,
                message=f'the rule table states no usable unit ("{table.units}"); '
                f"{'inches are' if unit == 25.4 else 'mm are'} taken",
                file=out.file,
                hint="write UNITS: METRIC or UNITS: ENGLISH into the table",
            )
        )
    out.table, out.sizes, out.sample, out.mm = table, table.sizes, table.sample, unit
    if wanted and table.name and wanted.strip().upper() != table.name.strip().upper():
        out.findings.append(
            Finding(
                code="rules.other-table",
                severity=Severity.WARNING,
                message=f'the drawing names the rule table "{wanted}", the one beside it is '
                f'"{table.name}"',
                file=out.file,
                hint="look whether it belongs to this style",
            )
        )
    return out


def _beside_name(name: str, suffix: str) -> str:
    stem = name.rsplit(".", 1)[0] if "." in name.rsplit("/", 1)[-1] else name
    return stem + suffix
