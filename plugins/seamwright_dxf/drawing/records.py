"""The drawing records of a file as columns: one row an entity (or part of one), in file order.

Every row ends with a fate, so that what the raw text holds can be compared with what was read:
nothing leaves without one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from itertools import compress

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, SeamwrightError, Severity

from ..raw.frame import DRAWN, Frame
from ..raw.lettering import Lettering
from ..raw.numerals import Decimal, parse_numbers

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
BoolArray = NDArray[np.bool_]


class Fate(IntEnum):
    """What became of a row."""

    UNSEEN = 0
    CONVERTED = 1
    PART = 2  # VERTEX, SEQEND, ENDBLK: they belong to the entity before them
    KEPT = 3  # kept aside as foreign data
    DROPPED = 4  # reported with its reason


@dataclass(slots=True)
class Block:
    """A block: rows first..last (last excluded), base point in drawing units."""

    name: str
    row: int
    first: int
    last: int
    base: tuple[float, float] = (0.0, 0.0)
    flags: int = 0

    @property
    def is_layout(self) -> bool:
        """Model space and paper space, which newer versions keep as blocks."""
        name = self.name.upper()
        return name.lstrip("*$").startswith(("MODEL_SPACE", "PAPER_SPACE")) and name[:1] in "*$"


@dataclass(slots=True)
class Records:
    """Columns of all drawing rows.

    types, layers  (R,) numbers into `type_names` and `layer_names`
    owner          (R,) block number, -1 for rows of the ENTITIES section
    fate           (R,) see `Fate`
    """

    frame: Frame
    lettering: Lettering
    records: IntArray
    types: NDArray[np.int32]
    type_names: list[str]
    layers: NDArray[np.int32]
    layer_names: list[str]
    owner: NDArray[np.int32]
    blocks: list[Block]
    fate: NDArray[np.uint8]
    findings: list[Finding] = field(default_factory=list)
    decimal_comma: bool = False
    codes: NDArray[np.int16] = field(default_factory=lambda: np.empty(0, np.int16))
    tag_numbers: IntArray = field(default_factory=lambda: np.empty(0, np.int64))
    rows: IntArray = field(default_factory=lambda: np.empty(0, np.int64))
    _real_codes: NDArray[np.int16] = field(default_factory=lambda: np.empty(0, np.int16))
    _real_rows: IntArray = field(default_factory=lambda: np.empty(0, np.int64))
    _reals: FloatArray = field(default_factory=lambda: np.empty(0))
    _columns: dict[tuple[int, float], FloatArray] = field(default_factory=dict)
    _wholes: dict[tuple[int, int], IntArray] = field(default_factory=dict)

    @property
    def n(self) -> int:
        """Number of rows."""
        return int(self.records.size)

    def rows_of(self, *types: str) -> IntArray:
        """Rows of those types, in file order."""
        ids = [i for i, name in enumerate(self.type_names) if name in types]
        if not ids:
            return np.empty(0, np.int64)
        mask = self.types == ids[0]
        for i in ids[1:]:
            mask |= self.types == i
        return np.flatnonzero(mask)

    def real(self, code: int, default: float = 0.0) -> FloatArray:
        """The numbers of a group code, one a row (the last where a row has several)."""
        found = self._columns.get((code, default))
        if found is None:
            found = np.full(self.n, default)
            mask = self._real_codes == code
            found[self._real_rows[mask]] = self._reals[mask]
            self._columns[(code, default)] = found
        return found

    def reals_of(
        self, rows: BoolArray, codes: Sequence[int]
    ) -> tuple[IntArray, IntArray, FloatArray]:
        """All numbers of those codes in the chosen rows, in file order: rows, codes, numbers."""
        mask = rows[self._real_rows] & np.isin(self._real_codes, codes)
        return self._real_rows[mask], self._real_codes[mask].astype(np.int64), self._reals[mask]

    def whole(self, code: int, default: int = 0) -> IntArray:
        """The whole numbers of a group code, one a row."""
        found = self._wholes.get((code, default))
        if found is None:
            found = np.full(self.n, default, dtype=np.int64)
            at = np.flatnonzero(self.codes == code)
            values = self.frame.tags.values
            texts = [values[i] for i in self.tag_numbers[at].tolist()]
            try:
                numbers = list(map(int, texts))
            except ValueError:
                numbers = [self._lax(t, i) for t, i in zip(texts, at.tolist(), strict=True)]
            found[self.rows[at]] = np.clip(np.array(numbers, dtype=object), -(2**40), 2**40)
            self._wholes[(code, default)] = found
        return found

    def _lax(self, text: bytes, at: int) -> int:
        # Some writers give flags as 1.0; anything else is damage.
        try:
            number = float(text)
            if number == int(number):
                return int(number)
        except (ValueError, OverflowError):
            pass
        self.withhold(int(self.rows[at]), int(self.tag_numbers[at]), "no whole number")
        return 0

    def raws(self, code: int, rows: IntArray) -> dict[int, bytes]:
        """Row -> first raw value of a code, for the chosen rows that have one."""
        wanted = np.zeros(self.n, dtype=bool)
        wanted[rows] = True
        at = np.flatnonzero(self.codes == code)
        at = at[wanted[self.rows[at]]]
        values = self.frame.tags.values
        out: dict[int, bytes] = {}
        for row, tag in zip(self.rows[at].tolist(), self.tag_numbers[at].tolist(), strict=True):
            out.setdefault(row, values[tag])
        return out

    def tags_of(self, row: int) -> list[tuple[int, bytes]]:
        """All tags of a row."""
        record = int(self.records[row])
        first, last = int(self.frame.starts[record]), int(self.frame.starts[record + 1])
        tags = self.frame.tags
        return [(int(tags.codes[i]), tags.values[i]) for i in range(first, last)]

    def line(self, row: int) -> int | None:
        """The line where a row begins."""
        return self.frame.tags.line(int(self.frame.starts[self.records[row]]))

    def type_of(self, row: int) -> str:
        """The type of a row."""
        return self.type_names[int(self.types[row])]

    def layer_of(self, row: int) -> str:
        """The layer of a row."""
        return self.layer_names[int(self.layers[row])]

    def withhold(self, row: int, tag: int, what: str) -> None:
        """Take a damaged row out, with an error that names line and value."""
        tags = self.frame.tags
        if self.fate[row] == Fate.DROPPED:
            return
        self.fate[row] = Fate.DROPPED
        text = tags.values[tag][:40].decode("ascii", "replace").strip()
        self.findings.append(
            Finding(
                code="dxf.number",
                severity=Severity.ERROR,
                message=f'{self.type_of(row)} on layer {self.layer_of(row)}: "{text}" in group '
                f"{int(tags.codes[tag])} is {what}; the entity is left out",
                line=tags.value_line(tag),
                hint="mend the line, or ask for the file again",
            )
        )

    def drop(self, rows: IntArray | Sequence[int]) -> None:
        """Mark rows as dropped; the caller says why."""
        self.fate[rows] = Fate.DROPPED


def read_records(
    frame: Frame, lettering: Lettering, *, decimal: Decimal, file: str | None
) -> Records:
    """The columns of all rows in BLOCKS and ENTITIES."""
    spans = [(s.first, s.last, s.name) for s in frame.sections if s.name in DRAWN]
    records = np.concatenate([np.arange(a, b) for a, b, _ in spans] or [np.empty(0, np.int64)])
    tags = frame.tags
    row_of_record = np.full(len(frame.types) + 1, -1, dtype=np.int64)
    row_of_record[records] = np.arange(records.size)
    counts = np.diff(frame.starts[: len(frame.types) + 1])
    first_tag = int(frame.starts[0]) if frame.starts.size else 0
    rows = np.repeat(row_of_record[:-1], counts)
    used = np.flatnonzero(rows >= 0)
    tag_numbers = used + first_tag
    codes = tags.codes[tag_numbers]
    rows = rows[used]
    in_blocks = np.zeros(records.size, dtype=bool)
    at = 0
    for a, b, name in spans:
        in_blocks[at : at + b - a] = name == "BLOCKS"
        at += b - a
    out = Records(
        frame=frame,
        lettering=lettering,
        records=records,
        types=frame.types[records],
        type_names=frame.type_names,
        layers=np.zeros(records.size, dtype=np.int32),
        layer_names=["0"],
        owner=np.full(records.size, -1, dtype=np.int32),
        blocks=[],
        fate=np.zeros(records.size, dtype=np.uint8),
        codes=codes,
        tag_numbers=tag_numbers,
        rows=rows,
    )
    _read_layers(out)
    _read_numbers(out, decimal, file)
    _read_blocks(out, in_blocks)
    return out


def _read_layers(out: Records) -> None:
    at = np.flatnonzero(out.codes == 8)
    values = out.frame.tags.values
    raw = [values[i] for i in out.tag_numbers[at].tolist()]
    ids: dict[str, int] = {"0": 0}
    memo = {v: ids.setdefault(out.lettering.name(v), len(ids)) for v in dict.fromkeys(raw)}
    out.layer_names = list(ids)
    out.layers[out.rows[at]] = np.fromiter(
        map(memo.__getitem__, raw), dtype=np.int32, count=len(raw)
    )


def _read_numbers(out: Records, decimal: Decimal, file: str | None) -> None:
    codes = out.codes
    mask = ((codes >= 10) & (codes < 60)) | ((codes >= 210) & (codes < 240))
    tags, rows = out.tag_numbers[mask], out.rows[mask]
    values = out.frame.tags.values
    texts = list(compress(values, _tag_mask(out, tags)))
    numbers = parse_numbers(texts, decimal)
    if numbers.mixed is not None:
        tag = int(tags[numbers.mixed])
        raise SeamwrightError.of(
            "dxf.decimal-mixed",
            f'"{values[tag].decode("ascii", "replace").strip()}" has a comma, other numbers of '
            "the file have a point: they could mean anything",
            file=file,
            line=out.frame.tags.value_line(tag),
            hint='say decimal = "comma" if the comma is the decimal sign throughout, or mend '
            "the file",
        )
    out.decimal_comma = numbers.comma
    out._real_codes, out._real_rows, out._reals = codes[mask], rows, numbers.values
    for i in numbers.bad:
        out.withhold(int(rows[i]), int(tags[i]), "no number that a drawing can hold")
    if numbers.bad:
        np.nan_to_num(out._reals, copy=False, nan=0.0)


def _tag_mask(out: Records, tags: IntArray) -> list[bool]:
    mask = np.zeros(out.frame.tags.n, dtype=bool)
    mask[tags] = True
    return mask.tolist()


def _read_blocks(out: Records, in_blocks: BoolArray) -> None:
    begins = out.rows_of("BLOCK")
    begins = begins[in_blocks[begins]]
    ends = out.rows_of("ENDBLK")
    out.fate[ends] = Fate.PART
    names = out.raws(2, begins)
    flags = out.whole(70)
    x, y = out.real(10), out.real(20)
    block_rows = np.flatnonzero(in_blocks)
    last_row = int(block_rows[-1]) + 1 if block_rows.size else 0
    begin_list = begins.tolist()
    stops = [*begin_list[1:], last_row] if begin_list else []
    open_blocks = 0
    ends_sorted = ends[in_blocks[ends]]
    for number, (row, stop) in enumerate(zip(begin_list, stops, strict=True)):
        k = int(np.searchsorted(ends_sorted, row))
        if k < ends_sorted.size and ends_sorted[k] < stop:
            stop_row = int(ends_sorted[k])
        else:
            stop_row, open_blocks = stop, open_blocks + 1
        name = out.lettering.name(names.get(row, b""))
        out.blocks.append(
            Block(name, row, row + 1, stop_row, (float(x[row]), float(y[row])), int(flags[row]))
        )
        out.owner[row + 1 : stop_row] = number
        out.fate[row] = Fate.PART
    if open_blocks and out.frame.cut is None:
        out.findings.append(
            Finding(
                code="dxf.block-open",
                severity=Severity.WARNING,
                message=f"{open_blocks} blocks have no ENDBLK; they are taken to end where the "
                "next begins",
                repaired=True,
                hint="something may be missing here: compare with the sender's drawing",
            )
        )
    stray = np.flatnonzero(in_blocks & (out.owner < 0) & (out.fate == Fate.UNSEEN))
    if stray.size:
        out.drop(stray)
        out.findings.append(
            Finding(
                code="dxf.outside-block",
                severity=Severity.ERROR,
                message=f"{stray.size} entities of the section BLOCKS stand outside any block; "
                "they are left out",
                line=out.line(int(stray[0])),
                hint="the file is damaged here: ask for it again",
            )
        )
