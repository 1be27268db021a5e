"""Whatever a step gives as figures, as small tables: JSON-like values of any shape."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from .markup import Markup, el

MOST_ROWS = 400  # of one table
LONG = 40  # letters; a longer text is a sentence and stands below its table
DEEPEST = 6  # levels of nesting; what lies deeper is counted

Row = dict[str, Any]


def figures(values: Mapping[str, Any]) -> list[Markup]:
    """Each figure under its name."""
    out: list[Markup] = []
    single = {k: v for k, v in values.items() if not _nested(v)}
    if single:
        out.append(_pairs(single))
    for key, value in values.items():
        if _nested(value):
            out.append(_titled(str(key), value, 1))
    return out


def _titled(key: str, value: Any, depth: int) -> Markup:
    return el("div", el("h4", said(key)), _value(value, depth), class_="figure")


def _value(value: Any, depth: int) -> Markup:
    if depth > DEEPEST:
        return el("p", plain(value))
    if isinstance(value, Mapping):
        if _all_mappings(value.values()):
            if any(_deep(v) for v in value.values()):
                return el("div", [_titled(str(k), v, depth + 1) for k, v in value.items()])
            return _named_rows({str(k): _flat(v) for k, v in value.items()})
        single = {k: v for k, v in value.items() if not _nested(v)}
        nested = {k: v for k, v in value.items() if _nested(v)}
        return el(
            "div",
            _pairs(single) if single else None,
            [_titled(str(k), v, depth + 1) for k, v in nested.items()],
        )
    if isinstance(value, Sequence) and not isinstance(value, str):
        if value and _all_mappings(value):
            return _table([_flat(v) for v in value])
        return el("ul", [el("li", plain(v)) for v in value[:MOST_ROWS]], _rest(len(value)))
    return el("p", plain(value))


def _nested(value: Any) -> bool:
    return isinstance(value, (Mapping, list, tuple)) and len(value) > 0


def _all_mappings(values: Any) -> bool:
    return all(isinstance(v, Mapping) for v in values)


def _deep(value: Mapping[str, Any]) -> bool:
    """Whether a row is more than a row: something in it holds rows by name of its own."""
    return any(isinstance(v, Mapping) and v and _all_mappings(v.values()) for v in value.values())


def _flat(row: Mapping[str, Any]) -> Row:
    """A row whose small tables within became columns: "ease before, back"."""
    out: Row = {}
    for key, value in row.items():
        if isinstance(value, Mapping):
            for inner, figure in value.items():
                out[f"{said(key)}, {said(inner)}"] = figure
        else:
            out[said(key)] = value
    return out


def _pairs(values: Mapping[str, Any]) -> Markup:
    rows = [
        el("tr", el("th", said(k), scope="row"), el("td", plain(v), class_=_class(v)))
        for k, v in values.items()
    ]
    return _wide(el("table", el("tbody", rows), class_="small"), None)


def _named_rows(rows: Mapping[str, Row]) -> Markup:
    """Rows by name: names down, or across where there are more figures than names. Sentences
    stand below the table."""
    texts = [c for c in _columns(rows.values()) if any(_sentences(r.get(c)) for r in rows.values())]
    columns = [c for c in _columns(rows.values()) if c not in texts]
    if len(columns) > len(rows):
        turned = [{"": c, **{name: row.get(c) for name, row in rows.items()}} for c in columns]
        table = _table(turned)
    else:
        table = _table(
            [{"": name, **{c: row.get(c) for c in columns}} for name, row in rows.items()]
        )
    below = [_texts(c, rows) for c in texts]
    return el("div", table, below)


def _sentences(value: Any) -> bool:
    if isinstance(value, str):
        return len(value) > LONG
    return isinstance(value, (list, tuple)) and any(isinstance(v, str) for v in value)


def _texts(column: str, rows: Mapping[str, Row]) -> Markup:
    """Lists of sentences: once where they are the same in every row."""
    told = {name: _lines(row.get(column)) for name, row in rows.items()}
    different = {tuple(v) for v in told.values()}
    parts: list[Markup] = []
    for name, lines in told.items():
        if len(different) > 1:
            parts.append(el("p", el("b", name)))
        parts.append(el("ul", [el("li", text) for text in lines]))
        if len(different) == 1:
            break
    return el("details", el("summary", column), parts)


def _lines(value: Any) -> list[str]:
    if value is None:
        return []
    return [plain(v) for v in value] if isinstance(value, (list, tuple)) else [plain(value)]


def _columns(rows: Any) -> list[str]:
    return list(dict.fromkeys(key for row in rows for key in row))


def _table(rows: Sequence[Row]) -> Markup:
    columns = _columns(rows)
    head = el(
        "tr",
        [
            el("th", c, scope="col", class_=_class(next((r[c] for r in rows if c in r), None)))
            for c in columns
        ],
    )
    body = [
        el("tr", [el("td", plain(row.get(c, "")), class_=_class(row.get(c))) for c in columns])
        for row in rows[:MOST_ROWS]
    ]
    table = el("table", el("thead", head), el("tbody", body), class_="small")
    return _wide(table, _rest(len(rows)))


def _wide(table: Markup, rest: Markup | None) -> Markup:
    return el("div", table, rest, class_="wide")


def _rest(count: int) -> Markup | None:
    if count <= MOST_ROWS:
        return None
    return el("p", f"{count - MOST_ROWS} more; a report as JSON holds them all.", class_="soft")


def _class(value: Any) -> str | None:
    return "n" if isinstance(value, (int, float)) and not isinstance(value, bool) else None


def said(key: object) -> str:
    """A figure's name as words."""
    return str(key).replace("_", " ").replace("-", " ")


def plain(value: Any) -> str:
    """A value in a few characters; rows within a cell are counted."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if value is None or value == "":
        return "–"
    if isinstance(value, float):
        if value != 0 and abs(value) < 1e-3:
            return small(value)
        return f"{value:.3f}".rstrip("0").rstrip(".")
    if isinstance(value, Mapping):
        return ", ".join(f"{k} {plain(v)}" for k, v in value.items()) or "–"
    if isinstance(value, (list, tuple)):
        if value and _all_mappings(value):
            return f"{len(value)} {'row' if len(value) == 1 else 'rows'}"
        return ", ".join(plain(v) for v in value) or "–"
    return str(value)


def small(value: float) -> str:
    """A tiny number: "3e-13"."""
    digits, _, power = f"{value:.0e}".partition("e")
    return f"{digits}e{int(power)}"
