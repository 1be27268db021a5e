"""`seamwright demo`: the whole main job, end to end, and what it leaves behind."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from importlib.resources import files
from pathlib import Path
from typing import Any

import jsonschema
import numpy as np
import pytest
from svgpathtools import parse_path
from svgpathtools.parser import parse_transform

import seamwright as sw
from seamwright.cli.demo_run import BY_HAND, ONE, SEVEN, Made, make_demo, put_demo
from seamwright.cli.demo_words import cap_rows, summary
from seamwright.demo.blouse import blouse
from seamwright.findings import SeamwrightError
from seamwright.plan import cap_of, walk
from seamwright.plugins.registry import Registry

LIMITS = {"back": 15.875, "front": 12.7}  # firm cloth: 5/8 and 1/2 in


@pytest.fixture(scope="module")
def demo() -> Made:
    """The demonstration, made once."""
    return make_demo(registry=Registry.discover())


@pytest.fixture(scope="module")
def folder(demo: Made, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with its files."""
    made = tmp_path_factory.mktemp("demo")
    put_demo(demo, made)
    return made


def seamwright(*args: str) -> subprocess.CompletedProcess[str]:
    """The program, as a person calls it."""
    return subprocess.run(
        [sys.executable, "-m", "seamwright.cli.main", *args], capture_output=True, text=True
    )


def test_the_cap_is_eased_in_every_size_and_nothing_else_moves(demo: Made) -> None:
    record = demo.runs[0].record
    old, new = walk(record.before), walk(record.after)
    for half, seam in (("back", "sleeve to armhole, back"), ("front", "sleeve to armhole, front")):
        row = old.number(seam)
        assert (old.ease[row] > LIMITS[half] + 5).all()
        assert np.allclose(new.ease[row], LIMITS[half], atol=0.05)
    for name in ("Back", "Front"):
        assert record.after.piece(name) is record.before.piece(name)
    for size in record.after.sizes:
        caps = []
        for pattern in (record.before, record.after):
            shape = pattern.piece("Sleeve").in_size(size)
            z = pattern.sizes.index(size)
            back, front = (h.curve(shape, z).start for h in cap_of(pattern).halves)
            caps.append(front - back)
        assert np.abs(caps[0] - caps[1]).max() < 1e-9  # the bicep line


def test_what_was_drafted_is_what_was_read(demo: Made) -> None:
    drafted = blouse()
    read = demo.runs[0].record.before
    assert read.sizes == drafted.sizes and read.base_size == drafted.base_size
    for piece in drafted.pieces:
        for shape in piece.shapes:
            found = read.piece(piece.name).in_size(shape.size)
            ours = [edge.length for edge in shape.edges]
            assert [edge.length for edge in found.edges] == pytest.approx(ours, abs=2e-6)
            assert [n.name for n in found.notches] == [n.name for n in shape.notches]


def test_the_drawing_made_by_hand_measures_the_same_but_for_its_gaps(demo: Made) -> None:
    drafted, read = blouse(["C"]), demo.runs[1].record.before
    for piece in drafted.pieces:
        ours = [edge.length for edge in piece.shapes[0].edges]
        theirs = [edge.length for edge in read.piece(piece.name).shapes[0].edges]
        assert theirs == pytest.approx(ours, abs=0.1)
    codes = {f.code for f in demo.runs[1].record.read_findings}
    assert {"scale.unknown", "outline.joined"} <= codes


def test_by_hand_only_the_slipped_notch_is_left(demo: Made) -> None:
    last = [s for s in demo.runs[1].record.steps if s.use == "walk/walk"][-1]
    assert [f.code for f in last.findings if f.severity.value != "note"] == ["notch.miss"]
    assert all(row.right for row in cap_rows(demo.runs[1].record))


def test_the_altered_drawing_read_by_another_library_has_the_new_outlines(
    demo: Made, folder: Path
) -> None:
    lengths = outlines(folder / f"{SEVEN}-eased.svg")
    for piece in demo.runs[0].record.after.pieces:
        for shape in piece.shapes:
            assert np.abs(lengths - shape.seam_line.length).min() < 1e-3


def outlines(file: Path) -> np.ndarray:
    """Length in mm of every path in a drawing, by svgpathtools."""
    root = ET.parse(file).getroot()
    width = re.fullmatch(r"([\d.]+)mm", root.get("width", ""))
    assert width is not None
    scale = float(width[1]) / float(root.get("viewBox", "").split()[2])
    found: list[float] = []

    def walk_tree(element: ET.Element, outer: np.ndarray) -> None:
        matrix = outer @ parse_transform(element.get("transform", ""))
        if element.tag.endswith("}path"):
            path = parse_path(element.get("d"))
            size = np.sqrt(abs(np.linalg.det(matrix[:2, :2])))
            found.append(path.length(error=1e-9) * size * scale)
        for child in element:
            walk_tree(child, matrix)

    walk_tree(root, np.eye(3))
    return np.array(found)


def test_the_summary_says_it_in_a_few_lines_and_names_files_that_exist(
    demo: Made, folder: Path
) -> None:
    lines = summary(demo, folder)
    assert len(lines) < 36 and max(map(len, lines)) < 100 + len(str(folder))
    words = " ".join("\n".join(lines).split())
    assert "longer than the armhole in every size" in words
    assert "The bicep line is exactly as wide as it was." in words
    assert "Back and Front are untouched." in words
    named = [w for line in lines for w in line.split() if w.startswith(str(folder))]
    assert len(named) == 4 and all(Path(name).is_file() for name in named)


def test_the_report_says_the_same(folder: Path) -> None:
    page = (folder / f"{SEVEN}-eased.html").read_text("utf-8")
    assert "The sleeve cap held more ease than the cloth takes." in page
    assert "Where to fold" in page and "firm woven" in page
    by_hand = (folder / f"{BY_HAND}-eased.html").read_text("utf-8")
    assert "miss one another" in by_hand


@pytest.mark.filterwarnings("ignore::seamwright.SeamwrightWarning")
def test_every_drawing_can_be_checked_with_the_plan_beside_it(folder: Path) -> None:
    for stem in (SEVEN, ONE, BY_HAND):
        pattern = sw.read(folder / f"{stem}.svg")
        assert len(pattern.seams) == 5
        checked = sw.check(pattern)
        assert {f.code for f in checked.findings if f.severity.value == "error"} == {"seam.over"}


def test_the_same_bytes_every_time(demo: Made) -> None:
    again = make_demo(registry=Registry.discover())
    assert list(again.files) == list(demo.files)
    assert [name for name in demo.files if again.files[name] != demo.files[name]] == []


def test_put_again_without_complaint(demo: Made, tmp_path: Path) -> None:
    put_demo(demo, tmp_path)
    put_demo(demo, tmp_path)
    assert {p.name for p in tmp_path.iterdir()} == set(demo.files)


def test_what_somebody_changed_is_not_written_over(demo: Made, tmp_path: Path) -> None:
    put_demo(demo, tmp_path)
    own = tmp_path / f"{SEVEN}.plan.toml"
    own.write_text("# mine\n")
    (tmp_path / f"{SEVEN}-eased.html").unlink()
    with pytest.raises(SeamwrightError) as refused:
        put_demo(demo, tmp_path)
    assert refused.value.finding.code == "demo.files-differ"
    assert own.name in refused.value.finding.message
    assert own.read_text() == "# mine\n"
    assert not (tmp_path / f"{SEVEN}-eased.html").exists()
    put_demo(demo, tmp_path, overwrite=True)
    assert own.read_bytes() == demo.files[own.name]


def test_as_a_person_calls_it(tmp_path: Path) -> None:
    folder = tmp_path / "try it"
    done = seamwright("demo", str(folder))
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    assert f'"{folder / f"{SEVEN}-eased.html"}"' in done.stdout
    found = seamwright("check", str(folder / f"{SEVEN}.svg"))
    assert found.returncode == 1
    eased = seamwright("check", str(folder / f"{SEVEN}-eased.svg"))
    assert eased.returncode == 0, eased.stdout + eased.stderr


def test_a_folder_that_cannot_be_is_refused_in_one_line(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("no folder")
    done = seamwright("demo", str(file))
    assert done.returncode == 2
    assert "error:" in done.stderr and "Traceback" not in done.stderr
    assert file.read_text() == "no folder"


def test_json_follows_its_schema(demo: Made) -> None:
    from seamwright.cli.demo_words import document

    text = files("seamwright.cli").joinpath("schemas/demo.json").read_text("utf-8")
    found = json.loads(json.dumps(document(demo, Path()), allow_nan=False))
    jsonschema.validate(found, json.loads(text))
    assert found["summary"]["done"] == 2 and found["files"] == list(demo.files)


def test_units(demo: Made) -> None:
    from dataclasses import replace

    def lines(units: Any) -> str:
        return "\n".join(summary(replace(demo, units=units), Path()))

    assert "16 mm" in lines("mm") and " in -> " not in lines("mm")
    assert "1.6 cm" in lines("cm")
