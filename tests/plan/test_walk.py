"""Walking seams: lengths, ease, stretches, notches that must meet, in all sizes at once."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import seamwright.model.measure as measuring
from seamwright.geometry import Curve, FloatArray, Station, arc_lengths
from seamwright.model import Dart, Notch, Pattern, Piece, Run, RunPart, Seam, Shape, build_shape
from seamwright.model.edit import transform
from seamwright.plan import apply_plan, load_plan, walk
from seamwright.testing.strategies import patterns


def strip(size: str, length: float, *at: float, dart: tuple[float, float] | None = None) -> Shape:
    """A strip whose lower edge, "a > b", is `length` long, with notches n1, n2, ... along it."""
    outline = Curve.polyline([(0, 40), (0, 0), (length, 0), (length, 40)], closed=True)
    darts = []
    if dart is not None:
        left, right = (Station(1, x / length) for x in dart)
        darts.append(Dart(name="d", left=left, right=right, apex=(sum(dart) / 2, 30.0)))
    return build_shape(
        size=size,
        outline=outline,
        corners=[Station(i, 0.0) for i in range(4)],
        corner_names=["top", "a", "b", "c"],
        notches=[
            Notch(name=f"n{i}", station=Station(1, x / length)) for i, x in enumerate(at, start=1)
        ],
        darts=darts,
    )


def two(sew: list[Shape], to: list[Shape], *meet: str) -> Pattern:
    pattern = Pattern(
        name="two",
        pieces=(Piece(name="S", shapes=tuple(sew)), Piece(name="T", shapes=tuple(to))),
        sizes=tuple(dict.fromkeys(s.size for s in (*sew, *to))),
        base_size=sew[0].size,
    )
    text = f'[[seam]]\nname = "seam"\nsew = "S: a > b"\nto = "T: a > b"\nmeet = {list(meet)}\n'
    return apply_plan(pattern, load_plan(text.replace("'", '"')))[0]


def test_lengths_and_ease_in_every_size() -> None:
    found = walk(two([strip("S", 100), strip("M", 120)], [strip("S", 90), strip("M", 121)]))
    assert found.sew_lengths.tolist() == [[100, 120]]
    assert found.to_lengths.tolist() == [[90, 121]]
    assert found.ease.tolist() == [[10, -1]]
    assert found.number("seam") == 0
    with pytest.raises(KeyError):
        found.number("other")


def test_stretches_between_matched_notches() -> None:
    found = walk(two([strip("M", 200, 60, 150)], [strip("M", 190, 58, 143)], "n2 = n2", "n1 = n1"))
    assert found.stretch_names == (("a", "n1"), ("n1", "n2"), ("n2", "b"))
    assert found.stretch_sew[:, 0] == pytest.approx([60, 90, 50])
    assert found.stretch_to[:, 0] == pytest.approx([58, 85, 47])
    assert found.stretch_ease[:, 0] == pytest.approx([2, 5, 3])
    # Pairs come in order along the seam, whatever order they are written in.
    assert found.pair_names == (("n1", "n1"), ("n2", "n2"))


# sew length, its notches; to length, its notches -> how far the pairs miss, and by even spreading
MISSES = [
    # No ease: a pair that is off by 4 misses by 4.
    ((400, [100]), (400, [104]), [-4], [-4]),
    ((400, [104]), (400, [100]), [4], [4]),
    # Ease of 10: all of it behind the pair, all before it, or anything between, is right.
    ((410, [100]), (400, [100]), [0], [100 * 400 / 410 - 100]),
    ((410, [110]), (400, [100]), [0], [110 * 400 / 410 - 100]),
    ((410, [103]), (400, [100]), [0], [103 * 400 / 410 - 100]),
    ((410, [112]), (400, [100]), [2], [112 * 400 / 410 - 100]),
    ((410, [97]), (400, [100]), [-3], [97 * 400 / 410 - 100]),
    # The to side is longer: the same the other way about.
    ((400, [100]), (410, [110]), [0], None),
    ((400, [100]), (410, [113]), [-3], None),
    # Each pair is within the whole, but the stretch between would need ease of the other sign.
    ((410, [108, 200]), (400, [100, 197]), [0, -5], None),
    # Both off by the same: neither meets.
    ((400, [100, 300]), (400, [105, 305]), [-5, -5], [-5, -5]),
    # Crossed pairs.
    ((400, [100, 300]), (400, [300, 100]), [-200, 200], None),
]


@pytest.mark.parametrize(("sew", "to", "miss", "spread"), MISSES)
def test_how_far_notches_miss(
    sew: tuple[float, list[float]],
    to: tuple[float, list[float]],
    miss: list[float],
    spread: list[float] | None,
) -> None:
    # Names by position on the sew side; crossed pairs are named crosswise.
    order = np.argsort(np.argsort(to[1]))
    pairs = [f"n{i + 1} = n{order[i] + 1}" for i in range(len(sew[1]))]
    found = walk(two([strip("M", sew[0], *sew[1])], [strip("M", to[0], *sorted(to[1]))], *pairs))
    assert found.miss[:, 0] == pytest.approx(miss)
    if spread is not None:
        assert found.spread_miss[:, 0] == pytest.approx(spread)


@given(
    st.floats(100, 500),
    st.floats(0, 60),
    st.lists(st.tuples(st.floats(0.05, 0.95), st.floats(0, 1)), min_size=1, max_size=4),
)
def test_any_spread_of_the_ease_that_stretches_nothing_is_no_miss(
    length: float, ease: float, drawn: list[tuple[float, float]]
) -> None:
    at = sorted(share * length for share, _ in drawn)
    taken = np.sort([part for _, part in drawn]) * ease  # ease taken up to each pair, growing
    pairs = [f"n{i + 1} = n{i + 1}" for i in range(len(at))]
    sew, to = strip("M", length + ease, *(at + taken)), strip("M", length, *at)
    found = walk(two([sew], [to], *pairs))
    assert np.abs(found.miss).max() < 1e-9
    assert (found.stretch_ease > -1e-9).all()
    back = walk(two([to], [sew], *pairs))
    assert np.abs(back.miss).max() < 1e-9
    assert back.ease == pytest.approx(-found.ease)


def test_a_run_over_two_pieces_and_a_dart() -> None:
    """Skirt to waistband: the band is one piece, the skirt a front with a dart and a back."""
    pattern = Pattern(
        name="skirt",
        pieces=(
            Piece(name="Band", shapes=(strip("M", 330, 170, 250),)),
            Piece(name="Front", shapes=(strip("M", 200, 120, dart=(80, 110)),)),
            Piece(name="Back", shapes=(strip("M", 160, 80),)),
        ),
        sizes=("M",),
        base_size="M",
    )
    plan = load_plan(
        '[[seam]]\nname = "waist"\nsew = ["Front: a > b", "Back: a > b"]\nto = "Band: a > b"\n'
        'meet = ["Front: b = n1", "Back: n1 = n2", "Front: n1 = Band: n1"]\n'
    )
    found = walk(apply_plan(pattern, plan)[0])
    assert found.findings == ()
    assert found.sew_lengths.tolist() == [[330]]  # 200 - 30 + 160
    assert found.ease.tolist() == [[0]]
    # Front: n1 lies behind the dart: 120 - 30; Front: b is the side seam at 170.
    assert found.pair_sew[:, 0] == pytest.approx([90, 170, 250])
    assert found.pair_to[:, 0] == pytest.approx([170, 170, 250])
    assert found.miss[1:, 0] == pytest.approx([0, 0])
    assert found.miss[0, 0] == pytest.approx(-80)


def test_a_name_on_both_pieces_of_a_run() -> None:
    pieces = tuple(Piece(name=n, shapes=(strip("M", 100, 50),)) for n in ("A", "B"))
    band = Piece(name="Band", shapes=(strip("M", 200, 50, 150),))
    pattern = Pattern(name="x", pieces=(*pieces, band), sizes=("M",), base_size="M")

    def seams(meet: str) -> tuple[Seam, ...]:
        plan = f'[[seam]]\nsew = ["A: a > b", "B: a > b"]\nto = "Band: a > b"\nmeet = ["{meet}"]\n'
        return load_plan(plan).seams

    found = walk(pattern.but(seams=seams("n1 = n1")))
    assert [f.code for f in found.findings] == ["notch.not-measured"]
    assert "either piece" in found.findings[0].message
    found = walk(pattern.but(seams=seams("B: n1 = n2")))
    assert found.pair_sew.tolist() == [[150]]
    assert not found.findings


def test_one_name_where_a_run_passes_from_piece_to_piece_is_one_place() -> None:
    """The armhole meets the sleeve's shoulder notch where the back ends and the front begins."""

    def half() -> Shape:
        return build_shape(
            size="M",
            outline=Curve.polyline([(0, 40), (0, 0), (100, 0), (100, 40)], closed=True),
            corners=[Station(i, 0.0) for i in range(4)],
            corner_names=["x", "underarm", "shoulder", "y"],
        )

    sleeve = strip("M", 210, 104)
    pattern = Pattern(
        name="x",
        pieces=(
            Piece(name="Back", shapes=(half(),)),
            Piece(name="Front", shapes=(half(),)),
            Piece(name="Sleeve", shapes=(sleeve,)),
        ),
        sizes=("M",),
        base_size="M",
    )
    plan = load_plan(
        '[[seam]]\nsew = "Sleeve: a > b"\nmeet = ["n1 = shoulder"]\n'
        'to = ["Back: underarm > shoulder", "Front: shoulder > underarm"]\n'
    )
    found = walk(apply_plan(pattern, plan)[0])
    assert found.stretch_to.tolist() == [[100], [100]]
    assert found.stretch_ease == pytest.approx(np.array([[4], [6]]))


def test_what_is_missing_in_a_size_is_nan_and_said() -> None:
    sew = [strip("S", 100, 40), strip("M", 120, 50), strip("L", 140)]
    to = [strip("S", 100, 40), strip("L", 140, 60)]
    pattern = two(sew, to, "n1 = n1")
    found = walk(pattern)
    assert np.isnan(found.ease).tolist() == [[False, True, False]]
    assert np.isnan(found.miss).tolist() == [[False, True, True]]
    assert np.isnan(found.stretch_sew[:, 2]).all()
    said = [(f.code, f.seam, f.piece, f.size) for f in found.findings]
    assert said == [
        ("seam.not-measured", "seam", "T", "M"),
        ("notch.not-measured", "seam", None, "L"),
    ]
    assert '"T" is missing' in found.findings[0].message


def test_a_seam_that_cannot_be_followed_does_not_stop_the_others() -> None:
    pattern = two([strip("M", 100)], [strip("M", 90)])
    ghost = Seam(
        name="ghost",
        sew=Run(parts=(RunPart(piece="Ghost", marks=("a", "b")),)),
        to=pattern.seams[0].to,
        meet=(("a", "a"),),
    )
    found = walk(pattern.but(seams=(ghost, *pattern.seams)))
    assert np.isnan(found.ease[0, 0])
    assert found.ease[1, 0] == 10
    assert [(f.code, f.seam) for f in found.findings] == [("seam.not-measured", "ghost")]


def test_nothing_to_walk() -> None:
    pattern = two([strip("M", 100)], [strip("M", 90)])
    found = walk(pattern.but(seams=()))
    assert found.ease.shape == (0, 1)
    assert found.miss.shape == (0, 1)
    assert found.stretch_names == ()


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    made: list[int] = []
    kernel = arc_lengths

    def counted(segments: FloatArray) -> FloatArray:
        made.append(len(segments))
        return kernel(segments)

    monkeypatch.setattr(measuring, "arc_lengths", counted)
    yield made


def test_one_kernel_call_for_all_pieces_and_sizes(calls: list[int]) -> None:
    def round_piece(size: str, r: float) -> Shape:
        return build_shape(
            size=size,
            outline=Curve.circle((0, 0), r),
            corners=[Station(0, 0.0), Station(3, 0.5)],
            corner_names=["a", "b"],
            notches=[Notch(name="n1", station=Station(1, 0.3))],
        )

    sizes = [f"{i}" for i in range(30)]
    made = {n: [round_piece(s, 50 + i) for i, s in enumerate(sizes)] for n in "ST"}
    pattern = two(made["S"], made["T"], "n1 = n1").but(seams=())
    plan = load_plan('[[seam]]\nsew = "S: a > n1 > b"\nto = "T: a > n1 > b"\nmeet = ["n1 = n1"]\n')
    calls.clear()
    fresh = pattern.map_shapes(lambda _p, s: s.but(foreign=()))
    walk(fresh.but(seams=plan.seams))
    assert len(calls) == 1
    walk(fresh.but(seams=plan.seams))
    assert len(calls) == 1


@settings(max_examples=40)
@given(patterns(max_sizes=3), st.floats(-3.0, 3.0))
def test_a_rigid_motion_changes_no_figure(pattern: Pattern, angle: float) -> None:
    c, s = np.cos(angle), np.sin(angle)
    moved = pattern.map_shapes(lambda _p, shape: transform(shape, [[c, -s, 123.4], [s, c, -56.7]]))
    a, b = walk(pattern), walk(moved)
    assert np.allclose(a.sew_lengths, b.sew_lengths, rtol=0, atol=1e-8, equal_nan=True)
    assert np.allclose(a.to_lengths, b.to_lengths, rtol=0, atol=1e-8, equal_nan=True)


@settings(max_examples=40)
@given(patterns(max_sizes=3), st.data())
def test_order_and_company_of_pieces_and_sizes_do_not_matter(
    pattern: Pattern, data: st.DataObject
) -> None:
    pieces = tuple(data.draw(st.permutations(pattern.pieces)))
    sizes = tuple(data.draw(st.permutations(pattern.sizes)))
    shuffled = walk(pattern.but(pieces=pieces, sizes=sizes))
    plain = walk(pattern)
    for z, size in enumerate(sizes):
        was = plain.ease[:, pattern.sizes.index(size)]
        assert np.array_equal(shuffled.ease[:, z], was, equal_nan=True)
    base = pattern.base_size
    lone = pattern.but(
        sizes=(base,),
        pieces=tuple(p.but(shapes=(p.in_size(base),)) for p in pattern.pieces),
    )
    assert np.array_equal(
        walk(lone).ease[:, 0], plain.ease[:, pattern.sizes.index(base)], equal_nan=True
    )


@settings(max_examples=40)
@given(patterns(max_sizes=2))
def test_stretches_add_up_to_their_seams(pattern: Pattern) -> None:
    found = walk(pattern)
    for s in range(len(found.seams)):
        own = found.stretch_seams == s
        assert np.allclose(found.stretch_sew[own].sum(axis=0), found.sew_lengths[s])
        assert np.allclose(found.stretch_to[own].sum(axis=0), found.to_lengths[s])
