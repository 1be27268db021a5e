"""The walk check: what it finds, what it says, what it counts."""

from __future__ import annotations

import json
import tomllib
from importlib.resources import files
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import seamwright
from seamwright.geometry import Curve, Station
from seamwright.model import Notch, Pattern, Piece, SeamLineSource, Shape, build_shape
from seamwright.plan import DEFAULT_TOLERANCE, apply_plan, load_plan
from seamwright.plugins.api import Context, Length, Severity, StepResult
from seamwright.testing.strategies import patterns
from seamwright_walk.codes import CODES
from seamwright_walk.options import WalkOptions
from seamwright_walk.plugin import seamwright_steps
from seamwright_walk.tolerances import tolerances

STEP = seamwright_steps()[0]


def check(pattern: Pattern, units: str = "mm", **options: float) -> StepResult:
    made = WalkOptions(**{name: Length(value) for name, value in options.items()})
    found = STEP.run(pattern, made, Context(units=units, file="x.svg"))  # type: ignore[arg-type]
    assert found.pattern is pattern
    assert {f.code for f in found.findings} <= {c.code for c in CODES}
    return found


def strip(size: str, length: float, *at: float, **fields: object) -> Shape:
    outline = Curve.polyline([(0, 40), (0, 0), (length, 0), (length, 40)], closed=True)
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["top", "a", "b", "c"],
        notches=[
            Notch(name=f"n{i}", station=Station(1, x / length)) for i, x in enumerate(at, start=1)
        ],
        **fields,  # type: ignore[arg-type]
    )


def two(sew: list[Shape], to: list[Shape], more: str = "") -> Pattern:
    pattern = Pattern(
        name="two",
        pieces=(Piece(name="Front", shapes=tuple(sew)), Piece(name="Back", shapes=tuple(to))),
        sizes=tuple(dict.fromkeys(s.size for s in (*sew, *to))),
        base_size=sew[0].size,
    )
    text = '[[seam]]\nname = "side"\nsew = "Front: a > b"\nto = "Back: a > b"\n'
    return apply_plan(pattern, load_plan(text + more))[0]


def coded(found: StepResult, code: str) -> list[tuple[str | None, float | None, float | None]]:
    return [(f.size, f.measured, f.limit) for f in found.findings if f.code == code]


@pytest.mark.parametrize(
    ("ease", "verdict"),
    [(0, "ok"), (1.5, "ok"), (-1.5, "ok"), (1.54, "ok"), (1.6, "over"), (-1.6, "under")],
)
def test_without_a_range_the_tolerance_counts_either_way(ease: float, verdict: str) -> None:
    found = check(two([strip("M", 100 + ease)], [strip("M", 100)]))
    (row,) = found.figures["seams"]
    assert row["verdict"] == verdict
    assert (row["at_least"], row["at_most"]) == (-1.5, 1.5)
    wrong = [f for f in found.findings if f.severity is Severity.ERROR]
    assert [f.code for f in wrong] == ([] if verdict == "ok" else [f"seam.{verdict}"])
    if wrong:
        assert wrong[0].measured == pytest.approx(ease)
        assert wrong[0].limit == pytest.approx(1.5 if ease > 0 else -1.5)
        assert (wrong[0].piece, wrong[0].edge, wrong[0].seam) == ("Front", "a > b", "side")
        longer = "Front" if ease > 0 else "Back"
        assert f'"{longer}" is longer' in wrong[0].message
    # The user's own tolerance.
    assert not coded(check(two([strip("M", 102)], [strip("M", 100)]), tolerance=2.5), "seam.over")


def test_the_plans_range_counts() -> None:
    ease = 'ease = { at-least = "3/8 in", at-most = "5/8 in" }\n'
    shapes = [strip("S", 120), strip("M", 112), strip("L", 105)]
    found = check(two(shapes, [strip(s, 100) for s in "SML"], ease), units="in")
    assert [r["verdict"] for r in found.figures["seams"]] == ["over", "ok", "under"]
    assert coded(found, "seam.over") == [("S", pytest.approx(20), pytest.approx(15.875))]
    assert coded(found, "seam.under") == [("L", pytest.approx(5), pytest.approx(9.525))]
    over, under = (f for f in found.findings if f.severity is Severity.ERROR)
    assert "13/16 in" in over.message
    assert "5/8 in intended" in over.message
    assert "3/8 in intended" in under.message
    assert found.looked_at == 3


@pytest.mark.parametrize(
    ("off", "severity"),
    [(1.4, None), (1.6, Severity.WARNING), (2.9, Severity.WARNING), (3.1, Severity.ERROR)],
)
def test_notches_that_miss(off: float, severity: Severity | None) -> None:
    pattern = two([strip("M", 200, 80)], [strip("M", 200, 80 + off)], 'meet = ["n1 = n1"]\n')
    found = [f for f in check(pattern).findings if f.code == "notch.miss"]
    assert [f.severity for f in found] == ([] if severity is None else [severity])
    if found:
        assert found[0].measured == pytest.approx(off)
        assert "short of" in found[0].message
    assert not check(pattern, notch_warning=4, notch_error=5).findings


def test_a_cap_set_plain_below_its_notch_misses_nothing() -> None:
    more = 'meet = ["n1 = n1"]\nease = { at-least = 0, at-most = 12 }\ncap = "back"\n'
    found = check(two([strip("M", 210, 80)], [strip("M", 200, 80)], more))
    assert [f.code for f in found.findings] == ["cap.ease"]
    (pair,) = found.figures["pairs"]
    assert pair["miss"] == 0
    assert pair["spread_miss"] == pytest.approx(80 * 200 / 210 - 80)


def test_a_cap_is_given_by_halves_and_in_all() -> None:
    def half(name: str, length: float) -> Piece:
        return Piece(name=name, shapes=(strip("M", length),))

    pattern = Pattern(
        name="x",
        pieces=(half("Sleeve", 224), half("Back", 215), half("Front", 210)),
        sizes=("M",),
        base_size="M",
    )
    seams = "".join(
        f'[[seam]]\nname = "{side}"\nsew = "Sleeve: a > b"\nto = "{side.title()}: a > b"\n'
        f'cap = "{side}"\nease = {{ at-least = 0, at-most = 20 }}\n'
        for side in ("back", "front")
    )
    found = check(apply_plan(pattern, load_plan(seams))[0], units="cm")
    assert found.figures["cap"] == [
        {"sleeve": "Sleeve", "size": "M", "back": 9.0, "front": 14.0, "total": 23.0}
    ]
    (note,) = found.findings
    assert (note.code, note.severity, note.measured) == ("cap.ease", Severity.NOTE, 23.0)
    assert "back 0.9 cm and front 1.4 cm, 2.3 cm in all" in note.message
    # Half a cap: that half, and no total.
    lone = check(pattern.but(seams=load_plan(seams).seams[:1]))
    assert lone.figures["cap"][0]["total"] is None
    assert "other half" in lone.findings[0].message


def test_without_a_plan_it_says_that_it_did_not_look() -> None:
    pattern = two([strip("M", 100)], [strip("M", 100)])
    found = check(pattern.but(seams=()))
    assert [f.code for f in found.findings] == ["walk.no-plan"]
    assert found.looked_at == 0
    assert found.skipped


def test_seams_that_cannot_be_walked() -> None:
    pattern = two([strip("M", 100), strip("L", 110)], [strip("M", 100)])
    found = check(pattern)
    assert [(f.code, f.size, f.severity) for f in found.findings] == [
        ("seam.not-measured", "L", Severity.WARNING)
    ]
    assert [r["size"] for r in found.figures["seams"]] == ["M"]
    assert found.looked_at == 1
    gone = check(pattern.but(pieces=pattern.pieces[:1]))
    assert gone.looked_at == 0
    assert gone.skipped
    assert {f.severity for f in gone.findings} == {Severity.ERROR}


def test_a_cut_line_walked_for_a_seam_line_is_said_once_a_piece() -> None:
    cut = {"seam_line_source": SeamLineSource.CUT_LINE}
    made = [strip(s, 100, **cut) for s in "SM"]
    found = check(two(made, [strip("S", 100), strip("M", 100, **cut)]))
    said = [f for f in found.findings if f.code == "walk.cut-line"]
    assert [(f.piece, f.size) for f in said] == [("Front", None), ("Back", "M")]
    assert "size M" in said[1].message


@settings(max_examples=50)
@given(patterns(), st.sampled_from(["mm", "cm", "in"]))
def test_rows_keep_the_published_schema(pattern: Pattern, units: str) -> None:
    found = check(pattern, units=units)
    schema = json.loads(
        (Path(seamwright.__file__).parent / "cli" / "schemas" / "check.json").read_text()
    )
    jsonschema.validate(
        json.loads(json.dumps(found.figures["seams"], allow_nan=False)),
        {"$defs": schema.get("$defs", {}), **schema["properties"]["seams"]},
    )
    assert found.looked_at == len(found.figures["seams"])
    for row in found.figures["seams"]:
        assert row["ease"] == pytest.approx(row["sew_length"] - row["to_length"])
        assert sum(s["ease"] for s in row["stretches"]) == pytest.approx(row["ease"], abs=1e-6)


def test_the_options_defaults_are_those_of_the_data_file_with_their_source() -> None:
    made = WalkOptions()
    table = tolerances()
    assert made.tolerance == table["seam"]["tolerance"] == DEFAULT_TOLERANCE
    assert made.notch_warning == table["notch"]["warning"]
    assert made.notch_error == table["notch"]["error"]
    assert all(entry["source"] for entry in table.values())
    assert list(WalkOptions(notch_warning=Length(4)).check())


def test_the_page_names_every_code_and_its_example_is_a_pipeline() -> None:
    page = (files("seamwright_walk") / "pages" / "walk.md").read_text(encoding="utf-8")
    for code in CODES:
        assert f"`{code.code}`" in page
    start = page.index("```toml\n") + 8
    example = tomllib.loads(page[start : page.index("```", start)])
    pipeline = seamwright.Pipeline.load(page[start : page.index("```", start)])
    assert [u.name for u in pipeline.uses] == [s["use"] for s in example["step"]]
