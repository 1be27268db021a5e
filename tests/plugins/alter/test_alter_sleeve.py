"""The sleeve wider, narrower, its cap higher or lower: on drafted and on generated sleeves."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from seamwright.demo.blouse import blouse
from seamwright.model import Pattern, Piece, Run, RunPart, Seam, Shape
from seamwright.model.edit import transform
from seamwright.pipeline import Pipeline, Use
from seamwright.plan import apply_plan, cap_of, load_plan, walk
from seamwright.testing.strategies import sleeves


@cache
def theatre() -> Pattern:
    plan = files("seamwright.demo").joinpath("data", "chorus-blouse.plan.toml").read_text()
    return apply_plan(blouse(), load_plan(plan))[0]


def of_sleeve(sleeve: Shape) -> Pattern:
    """A pattern whose armhole is a smaller copy of the cap."""
    armhole = transform(sleeve, [[0.95, 0.0, 900.0], [0.0, 0.95, 0.0]])
    return Pattern(
        name="sleeve",
        pieces=(Piece(name="Sleeve", shapes=(sleeve,)), Piece(name="Body", shapes=(armhole,))),
        sizes=("M",),
        base_size="M",
        seams=tuple(
            Seam(
                name=f"cap {side}",
                sew=Run(parts=(RunPart(piece="Sleeve", marks=(f"underarm-{side}", "shoulder")),)),
                to=Run(parts=(RunPart(piece="Body", marks=(f"underarm-{side}", "shoulder")),)),
                cap="back" if side == "back" else "front",
            )
            for side in ("back", "front")
        ),
    )


def bicep(pattern: Pattern, size: str) -> float:
    cap = cap_of(pattern)
    shape = pattern.piece(cap.sleeve).in_size(size)
    ends = [
        shape.seam_line.point_of(shape.corner(name).station)
        for name in (cap.underarm_back, cap.underarm_front)
    ]
    return float(np.hypot(*(ends[1] - ends[0])))


def edge_lengths(shape: Shape) -> dict[str, float]:
    return {e.name: e.length for e in shape.edges}


@settings(max_examples=25, deadline=None)
@given(
    sleeves(),
    st.sampled_from([-25.0, -10.0, 5.0, 20.0, 40.0]),
    st.sampled_from(["kept", "widened"]),
    st.floats(-180, 180),
)
def test_bicep_by_the_amount_and_underarm_seams_as_long_as_they_were(
    drawn: tuple[Shape, float], amount: float, wrist: str, degrees: float
) -> None:
    a = np.radians(degrees)
    turned = transform(drawn[0], [[np.cos(a), -np.sin(a), 50.0], [np.sin(a), np.cos(a), -9.0]])
    before = of_sleeve(turned)
    after, record = Pipeline([Use("alter-bicep", amount=f"{amount} mm", wrist=wrist)]).run(before)
    assert after is not before, [f.message for f in record.findings]
    assert bicep(after, "M") == pytest.approx(bicep(before, "M") + amount, abs=1e-9)
    old, new = before.piece("Sleeve").shapes[0], after.piece("Sleeve").shapes[0]
    was, now = edge_lengths(old), edge_lengths(new)
    wrist_edge = {"wrist-back > wrist-front", "wrist-front > wrist-back"}
    for name in was:
        if name.count("underarm") == 1:
            assert now[name] == pytest.approx(was[name], abs=1e-9)
        elif name in wrist_edge:
            grown = 0.0 if wrist == "kept" else amount
            assert now[name] == pytest.approx(was[name] + grown, abs=1e-9)
    assert after.piece("Body") is before.piece("Body")
    row = record.steps[0].figures["sleeves"][0]
    assert row["cap_height_after"] == pytest.approx(row["cap_height_before"], abs=1e-9)
    assert len(new.seam_line.self_intersections().own) == 0


@settings(max_examples=20, deadline=None)
@given(sleeves(), st.sampled_from([-20.0, 8.0, 15.0]))
def test_cap_length_kept_keeps_the_ease_of_each_half(
    drawn: tuple[Shape, float], amount: float
) -> None:
    before = of_sleeve(drawn[0])
    after, record = Pipeline([Use("alter-bicep", amount=f"{amount} mm", keep="cap length")]).run(
        before
    )
    if after is before:
        assert {f.code for f in record.findings} == {"alter.out-of-reach"}
        return
    assert walk(after).ease == pytest.approx(walk(before).ease, abs=1e-6)
    assert bicep(after, "M") == pytest.approx(bicep(before, "M") + amount, abs=1e-9)


@settings(max_examples=20, deadline=None)
@given(sleeves(), st.sampled_from([-30.0, -8.0, 12.0]))
def test_cap_height_by_the_amount_with_the_bicep_untouched(
    drawn: tuple[Shape, float], amount: float
) -> None:
    before = of_sleeve(drawn[0])
    after, record = Pipeline([Use("alter-cap-height", amount=f"{amount} mm")]).run(before)
    row = record.steps[0].figures["sleeves"][0]
    assert row["cap_height_after"] == pytest.approx(row["cap_height_before"] + amount, abs=1e-9)
    assert bicep(after, "M") == bicep(before, "M")
    assert (row["back_ease_after"] > row["back_ease_before"]) == (amount > 0)


def test_a_larger_upper_arm_and_then_the_ease_in_every_size() -> None:
    """The two chain: widened, the cap holds still more; eased, it holds what the cloth takes."""
    steps = [
        Use("alter-bicep", amount="12 mm"),
        Use("ease-cap", target={"back": "15 mm", "front": "12 mm"}, mesh="8 mm"),
        Use("walk"),
    ]
    before = theatre()
    after, record = Pipeline(steps).run(before)
    cap = cap_of(after)
    assert np.abs(cap.back.ease - 15.0).max() < 0.05
    assert np.abs(cap.front.ease - 12.0).max() < 0.05
    for size in before.sizes:
        assert bicep(after, size) == pytest.approx(bicep(before, size) + 12.0, abs=1e-9)
    for row in record.steps[0].figures["sleeves"]:
        assert row["back_ease_after"] > row["back_ease_before"]


@pytest.mark.parametrize(
    ("step", "options"),
    [
        ("alter-bicep", {"amount": "-145 mm"}),
        ("alter-bicep", {"amount": "140 mm", "keep": "cap length"}),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_changed(
    step: str, options: dict[str, str]
) -> None:
    small = theatre().but(
        pieces=tuple(p.but(shapes=p.shapes[:1]) for p in theatre().pieces),
        sizes=theatre().sizes[:1],
        base_size=theatre().sizes[0],
    )
    after, record = Pipeline([Use(step, **options)]).run(small)  # type: ignore[arg-type]
    assert after is small
    assert {f.code for f in record.findings} == {"alter.out-of-reach"}


def test_a_cap_cannot_be_lowered_away() -> None:
    steps = [Use("alter-cap-height", amount="-80 mm"), Use("alter-cap-height", amount="-80 mm")]
    lower, _ = Pipeline(steps[:1]).run(theatre())
    after, record = Pipeline(steps[1:]).run(lower)
    assert after is lower
    assert {f.code for f in record.findings} == {"alter.out-of-reach"}


def test_without_a_cap_in_the_plan() -> None:
    bare = theatre().but(seams=())
    after, record = Pipeline([Use("alter-bicep", amount="1 cm")]).run(bare)
    assert after is bare
    assert [f.code for f in record.findings] == ["alter.no-cap"]
