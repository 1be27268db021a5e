"""The text of a rule table, taken apart.

    file    := version-line header* rule* "END"
    header  := KEY ":" value
    rule    := "RULE:" "DELTA" n pair{NUMBER OF SIZES}     pairs on one line or several
    pair    := dx "," dy

The grammar is from memory, its header keys confirmed by an excerpt only; the reader forgives
blanks, tabs, commas between sizes, lower case and a decimal comma.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, SeamwrightError, Severity

FloatArray = NDArray[np.float64]

KEYS = {
    "author": "author",
    "creation date": "date",
    "creation time": "time",
    "units": "units",
    "grade rule table": "name",
    "number of sizes": "count",
    "size list": "sizes",
    "sample size": "sample",
    "base size": "sample",
    "version": "version",
}
_HEADER = re.compile(r"\s*([^:]+?)\s*:\s*(.*?)\s*\Z")
_RULE = re.compile(r"\s*RULE\s*:?\s*DELTA\s*:?\s*#?\s*(\d+)\b[:;,]?(.*)\Z", re.I)
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?\Z")
_COMMA_NUMBER = re.compile(r"[+-]?(?:\d+,?\d*|,\d+)\Z")
_MOST = 10_000.0  # file units; no grade is that large


@dataclass(slots=True)
class RuleTable:
    """A rule table as it stands: numbers in the file's unit, their meaning not yet settled.

    rules  number -> (sizes, 2) dx, dy
    """

    name: str = ""
    author: str = ""
    date: str = ""
    time: str = ""
    units: str = ""
    version: str = ""
    sizes: tuple[str, ...] = ()
    sample: str = ""
    rules: dict[int, FloatArray] = field(default_factory=dict)
    other: tuple[tuple[str, str], ...] = ()
    findings: list[Finding] = field(default_factory=list)


def parse_table(text: str, *, file: str | None) -> RuleTable:
    """The table that `text` holds. Raises SeamwrightError `rules.damaged` with the line."""
    table = RuleTable()
    count: int | None = None
    other: list[tuple[str, str]] = []
    pending: tuple[int, int, list[tuple[int, str]]] | None = None
    raw: list[tuple[int, int, list[tuple[int, str]]]] = []
    ended = False
    last_key = ""
    lines = text.splitlines()
    for number, line in enumerate(lines, start=1):
        plain = line.replace("\x1a", "").strip()
        if not plain:
            continue
        if plain.upper() == "END":
            ended = True
            break
        rule = _RULE.match(plain)
        if rule is not None:
            pending = (int(rule[1]), number, [(number, rule[2])] if rule[2].strip() else [])
            raw.append(pending)
            continue
        if pending is not None:
            pending[2].append((number, plain))
            continue
        header = _HEADER.match(plain)
        key = KEYS.get(" ".join(header[1].split()).lower()) if header else None
        if header is not None and key is not None:
            last_key = key
            value = header[2]
            if key == "count":
                count = _count(value, number, file)
            elif key == "sizes":
                table.sizes = _sizes(value)
            else:
                setattr(table, key, value)
        elif header is None and last_key == "sizes" and len(table.sizes) < (count or 0):
            table.sizes = (*table.sizes, *_sizes(plain))
        elif not table.version and plain.upper().startswith(("ASTM", "ANSI", "AAMA")):
            table.version = plain
        else:
            other.append(
                ("" if header is None else header[1], plain if header is None else header[2])
            )
    table.other = tuple(other)
    _check_head(table, count, raw, file)
    comma = False
    for rule_number, at, parts in raw:
        pairs, with_comma = _pairs(parts, len(table.sizes), rule_number, at, file)
        comma |= with_comma
        if rule_number in table.rules:
            table.findings.append(
                _finding("rules.twice", Severity.WARNING, f"rule {rule_number} stands twice; the "
                         "last counts", file, at)
            )  # fmt: skip
        table.rules[rule_number] = pairs
    if comma:
        table.findings.append(
            _finding("rules.decimal-comma", Severity.WARNING, "the numbers have a decimal comma; "
                     "they are read as meant", file, None, repaired=True)
        )  # fmt: skip
    if not ended:
        table.findings.append(
            _finding("rules.no-end", Severity.WARNING, "the table lacks its END line; every rule "
                     "in it is whole", file, len(lines), repaired=True)
        )  # fmt: skip
    return table


def _finding(
    code: str, severity: Severity, message: str, file: str | None, line: int | None,
    *, repaired: bool = False,
) -> Finding:  # fmt: skip
    return Finding(
        code=code, severity=severity, message=message, file=file, line=line, repaired=repaired
    )


def _damaged(message: str, file: str | None, line: int | None, hint: str) -> SeamwrightError:
    return SeamwrightError.of("rules.damaged", message, file=file, line=line, hint=hint)


def _count(value: str, line: int, file: str | None) -> int:
    if not value.isdigit() or not 1 <= int(value) <= 10_000:
        raise _damaged(
            f'"{value}" is no number of sizes', file, line, "write NUMBER OF SIZES: and a count"
        )
    return int(value)


def _sizes(value: str) -> tuple[str, ...]:
    parts = re.split(r"[,;\t]+", value) if re.search(r"[,;\t]", value) else value.split()
    return tuple(p.strip() for p in parts if p.strip())


def _check_head(
    table: RuleTable, count: int | None, raw: list[tuple[int, int, list[tuple[int, str]]]],
    file: str | None,
) -> None:  # fmt: skip
    if not table.sizes:
        raise _damaged(
            "the table has no SIZE LIST", file, 1, "a rule table names its sizes before its rules"
        )
    if count is not None and count != len(table.sizes):
        raise _damaged(
            f"the table states {count} sizes and lists {len(table.sizes)}",
            file, None, "mend NUMBER OF SIZES or SIZE LIST",
        )  # fmt: skip
    if len(set(table.sizes)) != len(table.sizes):
        raise _damaged("the table lists a size twice", file, None, "mend SIZE LIST")
    if table.sample and table.sample not in table.sizes:
        alike = [s for s in table.sizes if s.upper() == table.sample.upper()]
        if not alike:
            raise _damaged(
                f'the sample size "{table.sample}" is not in the SIZE LIST',
                file, None, "mend SAMPLE SIZE or SIZE LIST",
            )  # fmt: skip
        table.sample = alike[0]
    if not raw:
        table.findings.append(
            _finding("rules.empty", Severity.WARNING, "the table holds no rule", file, None)
        )


def _pairs(
    parts: list[tuple[int, str]], sizes: int, rule: int, line: int, file: str | None
) -> tuple[FloatArray, bool]:
    """The numbers of one rule, (sizes, 2), and whether they have a decimal comma."""
    text = " ".join(part for _, part in parts)
    text = re.sub(r"\s*,\s+|\s+,\s*", ",", text.replace("\t", " ")).strip()
    text = text.replace("(", " ").replace(")", " ")
    tokens = [t for t in re.split(r"[\s;]+", text) if t]
    points = [t for t in tokens if t.count(",") == 1]
    values: list[float] | None = None
    comma = False
    if len(tokens) == sizes and len(points) == sizes:
        values = [_value(v, rule, parts, file) for t in tokens for v in t.split(",")]
    elif len(tokens) == sizes and all(t.count(",") == 3 and "." not in t for t in tokens):
        # -5,00,2,50: two numbers with a decimal comma each
        comma = True
        values = []
        for t in tokens:
            a, b, c, d = t.split(",")
            values += [_comma(f"{a},{b}", rule, parts, file), _comma(f"{c},{d}", rule, parts, file)]
    elif len(tokens) == 2 * sizes:
        comma = any("," in t for t in tokens)
        if comma and any("." in t for t in tokens):
            raise _damaged(
                f"rule {rule} mixes decimal points and commas", file, _line_with(parts, ","),
                "write every number with a point",
            )  # fmt: skip
        values = [(_comma if comma else _value)(t, rule, parts, file) for t in tokens]
    if values is None:
        raise _damaged(
            f"rule {rule} should hold {sizes} pairs dx,dy, one for each size, and holds "
            f"{len(tokens)} entries",
            file, line, "a rule needs as many pairs as the table has sizes",
        )  # fmt: skip
    return np.array(values, dtype=np.float64).reshape(sizes, 2), comma


def _value(text: str, rule: int, parts: list[tuple[int, str]], file: str | None) -> float:
    if _NUMBER.match(text):
        value = float(text)
        if abs(value) <= _MOST:
            return value
    raise _damaged(
        f'rule {rule}: "{text}" is no number', file, _line_with(parts, text),
        "write dx,dy with decimal points",
    )  # fmt: skip


def _comma(text: str, rule: int, parts: list[tuple[int, str]], file: str | None) -> float:
    if _COMMA_NUMBER.match(text):
        return _value(text.replace(",", "."), rule, parts, file)
    raise _damaged(
        f'rule {rule}: "{text}" is no number', file, _line_with(parts, text),
        "write dx,dy with decimal points",
    )  # fmt: skip


def _line_with(parts: list[tuple[int, str]], text: str) -> int | None:
    return next((n for n, part in parts if text in part), parts[0][0] if parts else None)
