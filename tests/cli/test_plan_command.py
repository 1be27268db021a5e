"""The command `plan`: a first plan, a later version of the style, a folder of styles; and what
`check --plan auto` says."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

import seamwright
from seamwright.cli.main import status_of
from seamwright.demo.blouse import blouse
from seamwright.geometry import Curve
from seamwright.model import Pattern, Piece, Shape, align_sizes, build_shape
from seamwright.model.edit import transform
from seamwright.plan import load_plan

SCHEMA = Path(seamwright.__file__).parent / "cli" / "schemas" / "plan.json"


def nameless(pattern: Pattern) -> Pattern:
    def plain(_piece: Piece, shape: Shape) -> Shape:
        return shape.but(
            corners=tuple(replace(c, name=f"corner-{i}") for i, c in enumerate(shape.corners, 1)),
            notches=tuple(replace(n, name=f"notch-{i}") for i, n in enumerate(shape.notches, 1)),
        )

    return pattern.map_shapes(plain)


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "blouse.json"
    seamwright.write(nameless(blouse(["B", "C", "D"])), path)
    return path


def plan_of(file: Path) -> str:
    return file.with_name("blouse.plan.toml").read_text(encoding="utf-8")


def test_from_a_drawing_to_a_confirmed_plan_and_a_first_check(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status_of(["plan", str(file)]) == 0
    assert "proposed:" in capsys.readouterr().out
    text = plan_of(file)
    plan = load_plan(text)
    names = {seam.name for seam in plan.seams}
    assert {"Sleeve to armhole, front", "Sleeve to armhole, back"} <= names
    assert {seam.cap for seam in plan.seams} == {"front", "back", None}
    assert text.count("[[seam]]") > len(plan.seams)  # unsure ones and the example, as comments
    assert "# 1: sure (" in text
    assert status_of(["check", str(file)]) == 0
    assert "All seams that were walked go together." in capsys.readouterr().out


def test_a_proposed_plan_is_checked_without_being_written_and_every_line_says_so(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status_of(["check", str(file), "--plan", "auto", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert len(document["seams"]) >= 4 * 3
    assert all("(proposed, " in row["name"] for row in document["seams"])
    notes = [f for f in document["findings"] if f["code"] == "plan.proposed"]
    assert len(notes) == 1
    named = [f for f in document["findings"] if f["seam"]]
    assert all("(proposed, " in f["seam"] for f in named)
    assert not file.with_name("blouse.plan.toml").exists()


def test_what_a_person_confirmed_stands_word_for_word(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = file.with_name("blouse.plan.toml")
    mine = (
        "# we baste this one\n[[seam]]\n"
        'name = "mine"   # by hand\nsew = "Back: flank > corner-4"\n'
        'to = "Front: corner-3 > corner-4"\nease = "1/8 in"\n'
    )
    plan.write_text('units = "in"\n[pieces.Back]\ncorners = ["", "", "flank", "", "", ""]\n' + mine)
    assert status_of(["plan", str(file)]) == 2
    assert "--update" in capsys.readouterr().err
    assert status_of(["plan", str(file), "--update"]) == 0
    text = plan_of(file)
    assert mine.strip() in text
    again = load_plan(text)
    assert "flank" in (again.pieces["Back"].corners or ())
    assert again.seams[0].name == "mine"
    # Nothing else is sewn to those edges, and the rest was found.
    assert not any("flank" in str(s.sew) + str(s.to) for s in again.seams[1:])
    assert {s.cap for s in again.seams} == {"front", "back", None}
    # Once more changes nothing more.
    capsys.readouterr()
    assert status_of(["plan", str(file), "--update"]) == 0
    assert [s.name for s in load_plan(plan_of(file)).seams] == [s.name for s in again.seams]
    # What is no plan is not written over.
    plan.write_text("seams = 3\n")
    assert status_of(["plan", str(file), "--update"]) == 2
    assert plan.read_text() == "seams = 3\n"


def moved(pattern: Pattern) -> Pattern:
    """The next version: turned by a quarter, longer, and with a corner more in the Back's hem, so
    that corners are counted anew."""
    pieces = []
    for piece in pattern.pieces:
        shapes = []
        for shape in piece.shapes:
            turned = transform(shape, [[0.0, -1.04, 5.0], [1.02, 0.0, -3.0]])
            line = turned.seam_line
            corners = [c.station for c in turned.corners]
            if piece.name == "Back":
                k = next(i for i, c in enumerate(turned.corners) if c.name == "hem-centre")
                a = float(line.cumulative[corners[k].segment])
                corners.insert(k + 1, line.station_at(a + 90.0))
            shapes.append(
                build_shape(
                    size=shape.size,
                    outline=Curve.from_segments(line.segments, line.kinds, closed=True),
                    corners=corners,
                    notches=[replace(n, name="") for n in turned.notches],
                    mirrored_half=turned.mirrored_half,
                    internal_lines=turned.internal_lines,
                    grain_line=turned.grain_line,
                )
            )
        pieces.append(align_sizes(piece.but(shapes=tuple(shapes)), pattern.base_size))
    return pattern.but(pieces=tuple(pieces), seams=())


def test_names_are_found_again_in_the_next_version(
    file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert status_of(["plan", str(file)]) == 0
    before = load_plan(plan_of(file))
    seamwright.write(moved(blouse(["B", "C", "D"])), file, overwrite=True)
    capsys.readouterr()
    assert status_of(["plan", str(file), "--update"]) == 0
    after = load_plan(plan_of(file))
    assert after.seams[: len(before.seams)] == before.seams
    for name in ("Back", "Front", "Sleeve"):
        assert {n for n in before.pieces[name].corners or () if n} <= set(
            after.pieces[name].corners or ()
        )
    assert len(after.pieces["Back"].corners or ()) == 7
    assert status_of(["check", str(file), "--json"]) in (0, 1)
    rows = json.loads(capsys.readouterr().out.partition("{")[2].join(["{", ""]))["seams"]
    assert {row["name"] for row in rows} >= {seam.name for seam in before.seams}
    side = [row for row in rows if row["name"] == "Back to Front, side"]
    assert side and all(abs(row["ease"]) < 1.0 for row in side)


def test_styles_alike_share_a_plan(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "styles"
    folder.mkdir()
    seamwright.write(nameless(blouse(["B", "C", "D"])), folder / "a.json")
    seamwright.write(nameless(blouse(["D", "E"])), folder / "b.json")
    other = blouse(["C", "D"])
    seamwright.write(other.but(pieces=other.pieces[:2]), folder / "c.json")
    assert status_of(["plan", str(folder), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    jsonschema.validate(document, json.loads(SCHEMA.read_text()))
    a, b, c = document["styles"]
    assert (a["shared"], c["shared"]) == (None, None)
    assert b["shared"] == a["plan"]
    assert any("sizes D, E instead of" in line for line in b["differences"])
    text = (folder / "b.plan.toml").read_text()
    assert load_plan(text).same_as == "a.plan.toml"
    # The shared plan is found as its own would be.
    assert status_of(["check", str(folder / "b.json"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["summary"]["seams"] >= 8
    assert status_of(["plan", str(folder), "--out", "x"]) == 2
    # It names a file beside it and nothing else.
    for name in ("../a.plan.toml", "/etc/passwd", "", "b.plan.toml"):
        (folder / "b.plan.toml").write_text(f'same-as = "{name}"\n')
        assert status_of(["check", str(folder / "b.json")]) == 2
