"""What a batch leaves for others: tables in three kinds, JUnit, a summary with a page a style."""

from __future__ import annotations

import csv
import re
import xml.etree.ElementTree as ET
import zipfile
from pathlib import Path
from typing import Any

import pytest

from seamwright.batch.results.junit import write_junit
from seamwright.batch.results.page import write_summary
from seamwright.batch.results.places import check_places
from seamwright.batch.results.tables import write_table
from seamwright.batch.rows import JobResult, SeamRow, Status, Verdict, head_of
from seamwright.findings import Finding, SeamwrightError, Severity

TABLES = "Parquet and sheets need the extra seamwright[tables]; .ci/run has it"
HOSTILE = '</script><img src=x onerror=alert(1)>\x00"&'


def seam(style: str, name: str, size: str, ease: float) -> SeamRow:
    row = {
        "name": name, "size": size, "sew_length": 200.1 + ease, "to_length": 200.1, "ease": ease,
        "at_least": 0.0, "at_most": 10.0, "verdict": "over" if ease > 10 else "ok",
    }  # fmt: skip
    return SeamRow.of(style, f"in/{style}.svg", row)


def style(name: str, *ease: float, **more: Any) -> JobResult:
    rows = tuple(
        seam(name, s, z, e) for s in ("side", "=HYPER(1)") for z, e in zip("AB", ease, strict=False)
    )
    bad = [r for r in rows if r.verdict is Verdict.OVER]
    found = tuple(
        Finding(
            code="seam.over", severity=Severity.ERROR, message=f"too long {HOSTILE}", seam=r.seam,
            size=r.size, rule="ease (house.toml, line 3)",
        )
        for r in bad
    )  # fmt: skip
    given = {
        "status": Status.DONE, "seams": rows, "findings": found, "looked_at": len(rows),
        "sizes": ("A", "B"), "worst": "error" if bad else None, **more,
    }  # fmt: skip
    return JobResult(style=name, file=f"in/{name}.svg", **given)


RESULTS = [
    style("a/good", 1.0, 1 / 3),
    style("a/bad", 12.5, 2.0),
    style("b/lost", status=Status.TIMED_OUT, reason="more than 3 s", worst="error", looked_at=0),
    style("b/unseen", looked_at=0, skipped="there is no seam plan", seams=()),
    style(f"c/{HOSTILE}", 0.0),
]
HEADS = [head_of(r) for r in RESULTS]
ROWS = [row for r in RESULTS for row in r.seams]


def test_csv_holds_every_figure_exactly_and_no_formula(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    assert write_table(iter(RESULTS), path) == len(ROWS)
    with path.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [float(r["ease_mm"]) for r in rows] == [r.ease for r in ROWS]
    assert [r["verdict"] for r in rows] == [r.verdict.value for r in ROWS]
    assert {r["seam"] for r in rows} == {"side", "'=HYPER(1)"}
    assert path.read_bytes().count(b"\r\n") == len(ROWS) + 1  # RFC 4180


def test_parquet_and_sheet_hold_the_same(tmp_path: Path) -> None:
    pq = pytest.importorskip("pyarrow.parquet", reason=TABLES)
    pytest.importorskip("xlsxwriter", reason=TABLES)
    write_table(iter(RESULTS), tmp_path / "t.parquet")
    table = pq.read_table(tmp_path / "t.parquet").to_pydict()
    assert table["ease_mm"] == [r.ease for r in ROWS]
    assert table["seam"] == [r.seam for r in ROWS]
    write_table(iter(RESULTS), tmp_path / "t.xlsx")
    with zipfile.ZipFile(tmp_path / "t.xlsx") as book:
        sheet = book.read("xl/worksheets/sheet1.xml").decode()
    assert "<f>" not in sheet and sheet.count("<row ") == len(ROWS) + 1
    assert repr(ROWS[1].ease)[:12] in sheet


@pytest.mark.parametrize("suffix", [".csv", ".parquet", ".xlsx"])
def test_tables_are_the_same_bytes_twice_and_may_be_empty(suffix: str, tmp_path: Path) -> None:
    one, two = tmp_path / f"1{suffix}", tmp_path / f"2{suffix}"
    assert write_table(iter(RESULTS), one) == write_table(iter(RESULTS), two)
    assert one.read_bytes() == two.read_bytes()
    assert write_table(iter([]), tmp_path / f"3{suffix}") == 0
    assert sorted(p.name for p in tmp_path.iterdir()) == [f"{i}{suffix}" for i in (1, 2, 3)]


def test_junit_shows_each_style_as_a_test(tmp_path: Path) -> None:
    path = tmp_path / "j.xml"
    write_junit(RESULTS, HEADS, path)
    suite = ET.fromstring(path.read_bytes()).find("testsuite")
    assert suite is not None
    counts = {k: int(suite.attrib[k]) for k in ("tests", "failures", "errors", "skipped")}
    assert counts == {"tests": 5, "failures": 1, "errors": 1, "skipped": 1}
    cases = {c.attrib["name"]: [e.tag for e in c] for c in suite}
    assert list(cases.values()) == [[], ["failure"], ["error"], ["skipped"], []]
    failure = suite.findall("testcase")[1].find("failure")
    assert failure is not None and "house.toml, line 3" in str(failure.text)


def test_the_summary_has_the_worst_first_and_links_to_every_style(tmp_path: Path) -> None:
    made = write_summary(
        RESULTS, HEADS, tmp_path / "s", total=7, reports={"a/bad": ["../out/a b.html"]}
    )
    assert len(made) == len(RESULTS) + 1
    text = made[0].read_text(encoding="utf-8")
    order = [text.index(f">{name}<") for name in ("b/lost", "b/unseen", "a/bad", "a/good")]
    assert order == sorted(order)
    assert "5 of 7 styles" in text and "../out/a%20b.html" in text
    for link in re.findall(r'href="(styles/[^"]+)"', text):
        assert (tmp_path / "s" / link).is_file()
    for path in made:
        page = path.read_text(encoding="utf-8")
        assert "<img" not in page and "<script" not in page and "default-src 'none'" in page


def test_places_are_looked_at_before_the_work(tmp_path: Path) -> None:
    there = tmp_path / "there.csv"
    there.write_text("mine")
    source = tmp_path / "style.csv"
    source.write_text("x")

    def refused(**more: Any) -> str:
        asked: dict[str, Any] = {"tables": [], "junit": None, "summary": None, "inputs": [source]}
        with pytest.raises(SeamwrightError) as error:
            check_places(**{**asked, "overwrite": False, **more})
        return error.value.finding.code

    assert refused(tables=[str(there)]) == "file.exists"
    assert refused(tables=[str(source)], overwrite=True) == "file.is-input"
    assert refused(tables=[str(tmp_path / "t.ods")]) == "output.suffix"
    assert refused(tables=[str(tmp_path / "t.csv")] * 2) == "output.twice"
    assert refused(summary=str(there)) == "output.exists"
    check_places([str(there)], None, None, inputs=[source], overwrite=True)


def test_a_table_that_cannot_be_finished_leaves_nothing(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text("old")

    def broken() -> Any:
        yield RESULTS[0]
        raise RuntimeError("the disk is gone")

    with pytest.raises(RuntimeError):
        write_table(broken(), path)
    assert path.read_text() == "old" and list(tmp_path.iterdir()) == [path]
