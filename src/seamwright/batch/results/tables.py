"""The table of all styles x sizes x seams: CSV (RFC 4180), Parquet, or a spreadsheet.

Rows are written as they come from disk, so that a batch of any length needs little memory. The same
results give the same bytes: no clock stands in any of the files.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from itertools import islice
from pathlib import Path
from typing import Any, Final

from ..rows import COLUMNS, JobResult, SeamRow, table
from .places import beside

_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
_MM: Final = ("sew_length", "to_length", "ease", "at_least", "at_most", "beyond")
_GROUP: Final = 50_000
_MOST_ROWS: Final = 1_048_575
"""Rows of a sheet below its head: the limit of the file format (ECMA-376)."""


def write_table(results: Iterable[JobResult], path: Path) -> int:
    """Writes the table in the kind that the suffix says; the number of rows. Lengths in mm.

    Styles that could not be done have no rows: the summary and the JUnit document name them.
    """
    rows = table(results)
    kind = path.suffix.lower()
    with beside(path) as out:
        if kind == ".parquet":
            return _parquet(rows, out)
        if kind == ".xlsx":
            return _sheet(rows, out)
        return _csv(rows, out)


def _values(row: SeamRow) -> list[Any]:
    return [getattr(row, name) for name in COLUMNS]


def _csv(rows: Iterable[SeamRow], out: Any) -> int:
    text = io.TextIOWrapper(out, encoding="utf-8", errors="backslashreplace", newline="")
    lines = csv.writer(text)
    lines.writerow(_head())
    count = 0
    for row in rows:
        lines.writerow([_cell(value) for value in _values(row)])
        count += 1
    text.flush()
    text.detach()
    return count


def _head() -> list[str]:
    return [f"{name}_mm" if name in _MM else name for name in COLUMNS]


def _cell(value: Any) -> str:
    """A name from a file may begin like a formula; a spreadsheet must take it as text."""
    if value is None:
        return ""
    if isinstance(value, float):
        return repr(value)
    text = str(value)
    return "'" + text if text.startswith(_FORMULA) else text


def _parquet(rows: Iterator[SeamRow], out: Any) -> int:
    import pyarrow as pa  # noqa: PLC0415 - an extra
    import pyarrow.parquet as pq  # noqa: PLC0415

    schema = pa.schema(
        [
            pa.field(name, pa.float64() if mm in _MM else pa.string())
            for name, mm in zip(_head(), COLUMNS, strict=True)
        ]
    )
    count = 0
    with pq.ParquetWriter(out, schema, compression="zstd") as writer:
        while group := list(islice(rows, _GROUP)):
            columns = zip(*(_values(row) for row in group), strict=True)
            arrays = [
                pa.array([_plain(v) for v in column], type=field.type)
                for column, field in zip(columns, schema, strict=True)
            ]
            writer.write_table(pa.Table.from_arrays(arrays, schema=schema))
            count += len(group)
    return count


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return str(value).encode("utf-8", "backslashreplace").decode("utf-8")
    return value


def _sheet(rows: Iterator[SeamRow], out: Any) -> int:
    import xlsxwriter  # noqa: PLC0415 - an extra

    book = xlsxwriter.Workbook(
        out, {"constant_memory": True, "in_memory": False, "strings_to_formulas": False,
              "strings_to_urls": False, "strings_to_numbers": False},
    )  # fmt: skip
    book.set_properties({"created": datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)})
    bold = book.add_format({"bold": True})
    length = book.add_format({"num_format": "0.00"})
    count = 0
    sheet = None
    while group := list(islice(rows, 1000)):
        for row in group:
            at = count % _MOST_ROWS
            if at == 0:
                sheet = book.add_worksheet()
                sheet.freeze_panes(1, 0)
                sheet.write_row(0, 0, _head(), bold)
                sheet.set_column(0, 3, 22)
            assert sheet is not None
            for column, (name, value) in enumerate(zip(COLUMNS, _values(row), strict=True)):
                if value is None:
                    continue
                if name in _MM:
                    sheet.write_number(at + 1, column, value, length)
                else:
                    sheet.write_string(at + 1, column, _plain(str(value))[:32_000])
            count += 1
    if sheet is None:
        book.add_worksheet().write_row(0, 0, _head(), bold)
    book.close()
    return count
