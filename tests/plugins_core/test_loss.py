"""What a format drops is said; what it drops without saying is found."""

from __future__ import annotations

import pickle
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from seamwright.findings import SeamwrightError, Severity
from seamwright.geometry import Curve, Station
from seamwright.model import Foreign, InternalKind, InternalLine, Notch
from seamwright.plugins.api import (
    DROPPED,
    EXACT,
    Feature,
    Length,
    Part,
    Writer,
    WriteResult,
    within,
)
from seamwright.plugins.building import Where
from seamwright.plugins.features import used
from seamwright.plugins.loss import accepted_features, losses
from seamwright.plugins.readback import compare, distance_between
from seamwright.plugins.writing import write


def test_features_with_counts_and_places(toys: Any) -> None:
    found = used(toys.pattern())
    counts = {feature: use.count for feature, use in found.items()}
    assert counts == {
        Feature.CURVE: 4, Feature.SEVERAL_SIZES: 2, Feature.SEVERAL_PIECES: 2,
        Feature.CORNER_NAMES: 16, Feature.NOTCH_T: 2, Feature.NOTCH_DEPTH: 2,
        Feature.NOTCH_NAMES: 2, Feature.GRAIN_LINE: 2, Feature.TEXT: 2, Feature.QUANTITY: 1,
        Feature.SEAMS: 1,
    }  # fmt: skip
    text = found[Feature.TEXT]
    assert (text.pieces, text.sizes, text.place) == (("Front",), ("S", "L"), (20.0, 50.0))


def test_every_feature_can_be_found(toys: Any) -> None:
    """A pattern that uses all of them; a feature that the walker forgets fails here."""
    from seamwright.model import Dart, DrillHole, GradePoint, GradeRules, NotchType

    line = Curve.line((10.0, 10.0), (20.0, 20.0))
    pattern = toys.pattern()
    shape = pattern.piece("Front").shapes[0]
    rich = shape.but(
        cut_line=shape.seam_line,
        notches=tuple(
            Notch(name=f"mark {t.value}", station=Station(0, 0.1 * i), type=t, width=3.0)
            for i, t in enumerate(NotchType)
        ),
        darts=(Dart(name="d", left=Station(1, 0.2), right=Station(1, 0.4), apex=(30.0, 40.0)),),
        internal_lines=tuple(InternalLine(kind=k, curve=line) for k in InternalKind),
        drill_holes=(DrillHole(at=(5.0, 5.0)),),
        allowances=(10.0, 10.0, 10.0, 10.0),
        grade_points=(GradePoint(rule=1, at=(5.0, 5.0)),),
        curve_points=(Station(1, 0.5),),
        foreign=(Foreign(format="svg", where="g1", data="<g/>"),),
    )
    piece = pattern.piece("Front").but(
        shapes=(rich, *pattern.piece("Front").shapes[1:]), material="lawn", category="blouse"
    )
    full = pattern.with_pieces([piece]).but(
        notes=(("author", "us"),),
        grade_rules=GradeRules(sizes=("S", "L"), base_size="S", offsets={1: np.zeros((2, 2))}),
    )
    assert set(used(full)) == set(Feature)
    assert Feature.FOREIGN not in used(full, format="svg")


def test_what_is_not_mentioned_is_dropped(toys: Any) -> None:
    pattern = toys.pattern()
    nothing = toys.toy_format(carries={})
    found = losses(pattern, nothing)
    assert {f.code for f in found} == {"loss.dropped"}
    assert len(found) == len(used(pattern))
    assert {f.severity for f in found} == {Severity.WARNING}
    text = next(f for f in found if ", text is dropped" in f.message)
    assert text.message == "in toy, text is dropped: 2 in all, in Front, in 2 sizes"
    assert (text.piece, text.x, text.y) == ("Front", 20.0, 50.0)


def test_loss_that_is_accepted_strict_or_partial(toys: Any) -> None:
    carries = dict.fromkeys(Feature, EXACT)
    carries[Feature.TEXT] = DROPPED
    carries[Feature.CURVE] = within("the chord tolerance")
    format = toys.toy_format(carries=carries)
    accepted = accepted_features({"Text": "the client reads names"}, where=Where())
    found = {f.code: f for f in losses(toys.pattern(), format, accepted=accepted, strict=True)}
    assert found["loss.dropped"].severity is Severity.NOTE
    assert found["loss.dropped"].hint == "accepted: the client reads names"
    assert found["loss.simplified"].severity is Severity.ERROR
    assert "kept within the chord tolerance" in found["loss.simplified"].message
    assert accepted_features(["T-notch", "seam plan"], where=Where()) == {
        Feature.NOTCH_T: "", Feature.SEAMS: "",
    }  # fmt: skip
    with pytest.raises(SeamwrightError) as caught:
        accepted_features(["txet"], where=Where())
    assert 'did you mean "text"' in (caught.value.finding.hint or "")


def test_strict_writes_nothing(toys: Any, tmp_path: Path) -> None:
    registry = toys.registry(toys.toy_format(carries={}))
    with pytest.raises(SeamwrightError) as caught:
        write(toys.pattern(), tmp_path / "x.toy", registry=registry, strict=True)
    assert caught.value.finding.code == "loss.refused"
    assert len(caught.value.others) == len(used(toys.pattern()))
    assert list(tmp_path.iterdir()) == []


def only(name: str, change: Any) -> Any:
    """A change to the shapes of one piece."""
    return lambda pattern: pattern.map_shapes(
        lambda piece, shape: change(shape) if piece.name == name else shape
    )


def pushed(shape: Any) -> Any:
    segments = np.array(shape.seam_line.segments)
    segments[1, 1:3, 1] -= 0.4
    return shape.but(seam_line=Curve.from_segments(segments, shape.seam_line.kinds, closed=True))


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (only("Front", lambda s: s.but(texts=())), "text: 2 in the pattern, 0 in the file"),
        (only("Front", lambda s: s.but(notches=())), "T notch: 2 in the pattern, 0"),
        (only("Back", lambda s: s.but(texts=s.texts * 2, grain_line=None)), ""),
        (lambda p: p.but(pieces=p.pieces[:1], seams=()), 'the piece "Back" is not in the file'),
        (lambda p: p.but(seams=()), "seam plan: 1 in the pattern, 0 in the file"),
        (only("Back", pushed), "a seam line lies 0.3 mm from where it was"),
        (
            only("Front", lambda s: s.but(
                notches=tuple(replace(n, station=Station(0, 0.6)) for n in s.notches)
            )),
            "a notch lies 20.5 mm",
        ),
    ],
)  # fmt: skip
def test_loss_that_nobody_announced_is_found(
    toys: Any, tmp_path: Path, change: Any, says: str
) -> None:
    registry = toys.registry(toys.toy_format(writes=change))
    done = write(toys.pattern(), tmp_path / "x.toy", registry=registry)
    errors = [f for f in done.findings if f.code == "loss.unannounced"]
    assert bool(errors) == bool(says)
    assert any(says in f.message for f in errors) or not says
    assert all(f.severity is Severity.ERROR and f.plugin == "toys/toy" for f in errors)
    if errors:
        assert "a fault of" in (errors[0].hint or "")


def test_announced_loss_is_not_found_again(toys: Any, tmp_path: Path) -> None:
    carries = {f: EXACT for f in Feature if f is not Feature.TEXT}
    drops = only("Front", lambda s: s.but(texts=()))
    registry = toys.registry(toys.toy_format(carries=carries, writes=drops))
    done = write(toys.pattern(), tmp_path / "x.toy", registry=registry)
    assert [f.code for f in done.findings] == ["loss.dropped", "readback.deviation"]


def flattened(shape: Any) -> Any:
    points = shape.seam_line.flatten(0.05)
    return shape.but(seam_line=Curve.polyline(points, closed=True), corners=(), notches=())


def test_a_tolerance_is_the_limit_of_the_deviation(toys: Any, tmp_path: Path) -> None:
    carries = dict.fromkeys(Feature, EXACT)
    carries[Feature.CURVE] = within("tolerance")
    for f in (Feature.CORNER_NAMES, Feature.NOTCH_T, Feature.NOTCH_NAMES, Feature.NOTCH_DEPTH):
        carries[f] = DROPPED
    registry = toys.registry(
        toys.toy_format(carries=carries, writes=lambda p: p.map_shapes(lambda _, s: flattened(s)))
    )
    done = write(toys.pattern(), tmp_path / "x.toy", registry=registry)
    deviation = done.findings[-1]
    assert deviation.code == "readback.deviation"
    assert deviation.measured is not None
    assert 0.001 < deviation.measured <= 0.05
    assert deviation.limit == pytest.approx(0.05, abs=1e-5)
    assert "loss.unannounced" not in [f.code for f in done.findings]
    tight = write(
        toys.pattern(), tmp_path / "y.toy", registry=registry,
        options=toys.ToyOut(tolerance=Length(0.005)),
    )  # fmt: skip
    assert "loss.unannounced" in [f.code for f in tight.findings]


def test_pieces_moved_on_the_page_are_stated_not_faulted(toys: Any) -> None:
    entry = next(iter(toys.registry(toys.toy_format()).formats))
    before = toys.pattern()
    after = only("Back", lambda s: s.but(seam_line=s.seam_line.translated(30.0, 40.0)))(before)
    found = {f.code: f for f in compare(before, after, entry)}
    assert set(found) == {"readback.moved", "readback.deviation"}
    assert found["readback.moved"].measured == pytest.approx(50.0)
    assert found["readback.deviation"].measured == pytest.approx(0.0, abs=1e-9)


def test_a_file_that_cannot_be_read_back_is_an_error(toys: Any, tmp_path: Path) -> None:
    def broken(*_: Any) -> Any:
        raise SeamwrightError.of("toy.broken", "not a toy")

    registry = toys.registry(toys.toy_format(read=broken))
    done = write(toys.pattern(), tmp_path / "x.toy", registry=registry)
    assert [f.code for f in done.findings] == ["toy.broken", "loss.unannounced"]


def test_distance_between_outlines() -> None:
    circle = Curve.circle((0.0, 0.0), 100.0)
    assert distance_between(circle, circle) == 0.0
    assert distance_between(circle, Curve.circle((0.0, 0.0), 103.0)) == pytest.approx(3.0)
    assert distance_between(circle, circle.started_at(2)) < 1e-9
    assert distance_between(circle, circle.reversed()) < 1e-9


def test_what_is_carried_may_depend_on_the_options(toys: Any, tmp_path: Path) -> None:
    everything = dict.fromkeys(Feature, EXACT)

    def carries(options: Any) -> Any:
        return {**everything, Feature.TEXT: DROPPED} if options.label == "bare" else everything

    def writes(pattern: Any, options: Any, ctx: Any) -> WriteResult:
        if options.label == "bare":
            pattern = pattern.map_shapes(lambda _, s: s.but(texts=()))
        return WriteResult(parts=(Part(data=toys.MAGIC + pickle.dumps(pattern)),))

    format = toys.toy_format(run=writes)
    writer = Writer(options=toys.ToyOut, run=writes, carries=carries)
    registry = toys.registry(replace(format, writer=writer))
    full = write(toys.pattern(), tmp_path / "x.toy", registry=registry)
    assert [f.code for f in full.findings] == ["readback.deviation"]
    bare = write(toys.pattern(), tmp_path / "y.toy", registry=registry, options={"label": "bare"})
    assert [f.code for f in bare.findings] == ["loss.dropped", "readback.deviation"]
