"""Running: selection, the record, promises verified, outputs."""

from __future__ import annotations

from dataclasses import replace
from importlib.resources import files
from pathlib import Path
from typing import Annotated, Any

import pytest

from seamwright.findings import SeamwrightError, Severity
from seamwright.pipeline import Pipeline, PipelineStopped, Use
from seamwright.plugins.api import EXACT, Code, Feature, Finding, Options, StepResult, text


@pytest.fixture
def registry(toys: Any) -> Any:
    return toys.registry(toys.toy_format(), toys.nudge(), toys.toy_step("look"), toys.toy_report())


def stopped(work: Any) -> PipelineStopped:
    with pytest.raises(PipelineStopped) as caught:
        work()
    return caught.value


def test_the_record_says_what_each_step_did(toys: Any, registry: Any, tmp_path: Path) -> None:
    before = toys.pattern()
    after, record = Pipeline(
        [Use("look"), Use("nudge", by="2 mm"), Use("write", to="{stem}.toy")]
    ).run(before, out=tmp_path, stem="blouse", registry=registry)
    look, nudge, write = record.steps
    assert (look.use, look.kind, look.looked_at, look.changed) == ("toys/look", "check", 4, ())
    assert nudge.options == {"by": "2.0 mm"}
    assert nudge.figures == {"by": 2.0}
    assert set(nudge.changed) == {(p, s) for p in ("Front", "Back") for s in ("S", "L")}
    assert all(moved == pytest.approx(2.0) for moved in nudge.moved.values())
    assert [m.ease for m in nudge.seams_after] == pytest.approx(
        [m.ease for m in nudge.seams_before]
    )
    assert {m.seam for m in nudge.seams_before} == {"side"}
    assert nudge.seams_before[0].ease == pytest.approx(-3.0)
    assert write.written == ("blouse.toy",)
    assert (tmp_path / "blouse.toy").is_file()
    assert record.before is before and record.after is after
    assert [s is before for s in record.snapshots] == [True, False, False]
    assert record.versions["seamwright"]
    assert [f.code for f in record.findings].count("toy.nudged") == 4


def test_a_check_must_give_back_the_very_pattern(toys: Any) -> None:
    def meddles(pattern: Any, options: Any, ctx: Any) -> StepResult:
        return StepResult(pattern=pattern.but())

    registry = toys.registry(toys.toy_step("meddles", meddles))
    error = stopped(lambda: Pipeline([Use("meddles")]).run(toys.pattern(), registry=registry))
    assert error.finding.code == "plugin.broke-contract"
    assert error.finding.plugin == "toys/meddles"


def test_a_step_that_raises_stops_the_list(toys: Any, tmp_path: Path) -> None:
    def breaks(*_: Any) -> StepResult:
        raise ZeroDivisionError("by nothing")

    registry = toys.registry(toys.toy_format(), toys.nudge(), toys.toy_step("breaks", breaks))
    pipeline = Pipeline(
        [Use("nudge"), Use("write", to="a.toy"), Use("breaks"), Use("write", to="b.toy")]
    )
    error = stopped(lambda: pipeline.run(toys.pattern(), out=tmp_path, registry=registry))
    assert error.finding.code == "plugin.raised"
    assert error.finding.message.startswith("step 3 (breaks): toys/breaks of ")
    assert "ZeroDivisionError: by nothing" in error.finding.message
    assert error.record is not None
    assert [s.use for s in error.record.steps] == ["toys/nudge", "write"]
    assert error.written == (tmp_path / "a.toy",)
    assert not (tmp_path / "b.toy").exists()


def test_what_is_not_a_result_is_the_plugins_fault(toys: Any) -> None:
    registry = toys.registry(toys.toy_step("none", lambda *_: None))
    error = stopped(lambda: Pipeline([Use("none")]).run(toys.pattern(), registry=registry))
    assert error.finding.code == "plugin.broke-contract"


@pytest.mark.parametrize(
    ("how", "touched"),
    [
        ({}, {"Front S", "Front L", "Back S", "Back L"}),
        ({"pieces": ["Front"]}, {"Front S", "Front L"}),
        ({"sizes": ["L"]}, {"Front L", "Back L"}),
        ({"pieces": ["Back"], "sizes": ["S"]}, {"Back S"}),
        ({"except_": {"pieces": ["Back"]}}, {"Front S", "Front L"}),
        ({"except_": {"pieces": ["Back"], "sizes": ["S"]}}, {"Front L"}),
        ({"pieces": ["Front", "Back"], "except_": {"sizes": ["L"]}}, {"Front S", "Back S"}),
    ],
)
@pytest.mark.parametrize("plain", [False, True])
def test_what_is_not_selected_passes_untouched(
    toys: Any, registry: Any, how: dict[str, Any], touched: set[str], plain: bool
) -> None:
    before = toys.pattern(plain=plain)
    after, record = Pipeline([Use("nudge", **how)]).run(before, registry=registry)
    for piece in before.pieces:
        for shape in piece.shapes:
            same = after.piece(piece.name).in_size(shape.size) is shape
            assert same == (f"{piece.name} {shape.size}" not in touched)
        if not any(t.startswith(piece.name) for t in touched):
            assert after.piece(piece.name) is piece
    assert (after.sizes, after.base_size, after.seams) == (
        before.sizes, before.base_size, before.seams,
    )  # fmt: skip
    assert {f"{p} {s}" for p, s in record.steps[0].changed} == touched
    assert {f"{f.piece} {f.size}" for f in record.steps[0].findings} == touched


def test_a_step_sees_the_pieces_that_the_selected_are_sewn_to(toys: Any) -> None:
    seen = []

    def sees(pattern: Any, options: Any, ctx: Any) -> StepResult:
        seen.append(([p.name for p in pattern.pieces], pattern.sizes, len(pattern.seams)))
        return StepResult(pattern=pattern, looked_at=1)

    registry = toys.registry(toys.toy_step("sees", sees))
    pipeline = Pipeline([Use("sees", pieces=["Front"], sizes=["L"])])
    pipeline.run(toys.pattern(), registry=registry)
    pipeline.run(toys.pattern(plain=True), registry=registry)
    assert seen == [(["Front", "Back"], ("L",), 1), (["Front"], ("L",), 0)]


@pytest.mark.parametrize(
    ("how", "code", "hint"),
    [
        ({"pieces": ["Fornt"]}, "selection.unknown", '"Front"'),
        ({"sizes": ["XL"]}, "selection.unknown", '"L"'),
        ({"except_": {"pieces": ["Bakc"]}}, "selection.unknown", '"Back"'),
        ({"except_": {"pieces": ["Front", "Back"]}}, "selection.empty", "widen"),
        ({"sizes": ["S"], "except_": {"sizes": ["S"]}}, "selection.empty", "widen"),
    ],
)
def test_a_selection_that_matches_nothing_is_an_error(
    toys: Any, registry: Any, tmp_path: Path, how: dict[str, Any], code: str, hint: str
) -> None:
    pipeline = Pipeline([Use("write", to="a.toy"), Use("nudge", **how)])
    error = stopped(lambda: pipeline.run(toys.pattern(), out=tmp_path, registry=registry))
    assert error.finding.code == code
    assert hint in (error.finding.hint or "")
    assert list(tmp_path.iterdir()) == []  # refused before the first step


def test_a_broken_promise_stops_the_pipeline_with_the_figure(toys: Any, tmp_path: Path) -> None:
    registry = toys.registry(toys.toy_format(), toys.nudge(keeps=("corners", "area")))
    pipeline = Pipeline([Use("nudge", by="3 mm"), Use("write", to="a.toy")])
    error = stopped(lambda: pipeline.run(toys.pattern(), out=tmp_path, registry=registry))
    assert error.finding.code == "step.breach"
    assert error.finding.measured == pytest.approx(3.0)
    assert "promised to keep corners, and moved it by 3 mm" in error.finding.message
    assert list(tmp_path.iterdir()) == []


def test_promises_kept_stand_in_the_record(toys: Any) -> None:
    registry = toys.registry(toys.nudge(keeps=("area", "other-pieces", "bicep-width")))
    _, record = Pipeline([Use("nudge", pieces=["Front"])]).run(toys.pattern(), registry=registry)
    kept = record.steps[0].invariants
    assert [k.name for k in kept] == ["area", "other-pieces"]  # there is no sleeve here
    assert all(k.moved <= k.limit for k in kept)


def test_files_for_sizes_and_pieces(toys: Any, registry: Any, tmp_path: Path) -> None:
    pattern = toys.pattern()
    renamed = pattern.but(
        pieces=(pattern.pieces[0].but(name="a/b"), pattern.pieces[1].but(name="a:b")), seams=()
    )
    _, record = Pipeline(
        [Use("write", to="{name}/{piece}-{size}.toy"), Use("write", to="{stem}-{size}.toy")]
    ).run(renamed, out=tmp_path, stem="x", registry=registry)
    made = sorted(p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*.toy"))
    assert made == [
        "Toy blouse/a_b-2-L.toy", "Toy blouse/a_b-2-S.toy", "Toy blouse/a_b-L.toy",
        "Toy blouse/a_b-S.toy", "x-L.toy", "x-S.toy",
    ]  # fmt: skip
    manifest = record.steps[0].figures["files"]
    assert {"file": "Toy blouse/a_b-2-L.toy", "piece": "a:b", "size": "L"} in manifest


def test_outputs_never_fall_on_inputs_or_one_another(
    toys: Any, registry: Any, tmp_path: Path
) -> None:
    pipeline = Pipeline([Use("write", to="{stem}.toy"), Use("write", to="{name}.toy")])
    error = stopped(
        lambda: pipeline.run(
            toys.pattern(), out=tmp_path, stem="Toy blouse", registry=registry, overwrite=True
        )
    )
    assert error.finding.code == "file.is-input"
    error = stopped(lambda: pipeline.run(toys.pattern(), out=tmp_path, registry=registry))
    assert error.finding.code == "file.exists"


def test_loss_is_stated_and_strict_refuses_before_the_first_step(toys: Any, tmp_path: Path) -> None:
    carries = {f: EXACT for f in Feature if f is not Feature.TEXT}

    def drops(pattern: Any) -> Any:
        return pattern.map_shapes(lambda _, s: s.but(texts=()))

    registry = toys.registry(toys.toy_format(carries=carries, writes=drops), toys.nudge())
    _, record = Pipeline([Use("write", to="a.toy")]).run(
        toys.pattern(), out=tmp_path, registry=registry
    )
    lost = [f for f in record.findings if f.code == "loss.dropped"]
    assert [f.severity for f in lost] == [Severity.WARNING]
    strict = Pipeline([Use("nudge"), Use("write", to="b.toy", strict=True)])
    error = stopped(lambda: strict.run(toys.pattern(), out=tmp_path, registry=registry))
    assert error.finding.code == "loss.dropped"
    assert error.record is not None and error.record.steps == ()
    accepted = Pipeline([Use("write", to="b.toy", strict=True, accept_loss={"text": "known"})])
    _, record = accepted.run(toys.pattern(), out=tmp_path, registry=registry)
    assert record.findings[0].hint == "accepted: known"


def test_undeclared_codes_show(toys: Any) -> None:
    def odd(pattern: Any, options: Any, ctx: Any) -> StepResult:
        found = Finding(code="odd.one", severity=Severity.NOTE, message="m")
        return StepResult(pattern=pattern, findings=(found,), looked_at=1)

    known = Code(code="odd.one", severity=Severity.NOTE, title="t", why="w", remedy="r")
    registry = toys.registry(toys.toy_step("odd", odd), toys.toy_step("even", odd, codes=[known]))
    _, record = Pipeline([Use("odd"), Use("even")]).run(toys.pattern(), registry=registry)
    assert [[f.code for f in s.findings] for s in record.steps] == [
        ["odd.one", "plugin.undeclared-code"], ["odd.one"],
    ]  # fmt: skip


def test_running_again_gives_the_same_bytes(toys: Any, registry: Any, tmp_path: Path) -> None:
    pipeline = Pipeline([Use("nudge"), Use("report", to="{stem}.words")])
    for folder in ("one", "two"):
        pipeline.run(toys.pattern(), out=tmp_path / folder, registry=registry)
    one, two = (next((tmp_path / f).iterdir()) for f in ("one", "two"))
    assert one.name == two.name == "Toy blouse.words"
    assert one.read_bytes() == two.read_bytes() == b"Toy blouse: toys/nudge\n"


def test_a_selection_behind_an_alteration_may_name_what_it_brings(toys: Any) -> None:
    def brings(pattern: Any, options: Any, ctx: Any) -> StepResult:
        new = pattern.pieces[0].but(name="Facing")
        return StepResult(pattern=pattern.but(pieces=(*pattern.pieces, new)))

    registry = toys.registry(
        toys.toy_step("brings", brings, kind="alteration"), toys.nudge(), toys.toy_step("look")
    )
    after, record = Pipeline([Use("brings"), Use("nudge", pieces=["Facing"])]).run(
        toys.pattern(), registry=registry
    )
    assert [p.name for p in after.pieces] == ["Front", "Back", "Facing"]
    assert {piece for piece, _ in record.steps[1].changed} == {"Facing"}
    with pytest.raises(SeamwrightError):
        Pipeline([Use("look"), Use("nudge", pieces=["Facing"])]).run(
            toys.pattern(), registry=registry
        )


def test_a_plan_named_by_the_pipeline_is_laid_on(toys: Any, tmp_path: Path) -> None:
    plan = tmp_path / "p.plan.toml"
    plan.write_text(
        '[[seam]]\nname = "hem"\nsew = "Front: b > c"\nto = "Back: b > c"\n', encoding="utf-8"
    )
    registry = toys.registry(toys.toy_step("look"))
    pipeline = Pipeline([Use("look")], plan=plan)
    after, record = pipeline.run(toys.pattern(plain=True), registry=registry)
    assert [s.name for s in after.seams] == ["hem"]
    assert {m.seam for m in record.steps[0].seams_before} == {"hem"}
    assert str(plan) in record.inputs


def test_pipelines_pickle_their_errors(toys: Any, registry: Any) -> None:
    import pickle

    error = stopped(
        lambda: Pipeline([Use("nudge", pieces=["No"])]).run(toys.pattern(), registry=registry)
    )
    again = pickle.loads(pickle.dumps(error))
    assert again.finding == error.finding


def test_options_that_name_a_piece_say_which_pieces_are_the_others(toys: Any) -> None:
    class On(Options, frozen=True):
        at: Annotated[str, text("A place.")] = ""

    def astray(pattern: Any, options: On, ctx: Any) -> StepResult:
        front = pattern.piece("Front")
        shapes = tuple(s.but(seam_line=s.seam_line.translated(0.0, 1.0)) for s in front.shapes)
        return StepResult(pattern=pattern.with_pieces([front.but(shapes=shapes)]))

    step = toys.toy_step("astray", astray, kind="alteration", options=On, keeps=("other-pieces",))
    registry = toys.registry(replace(step, acts_on=("at",)))

    def run(**options: Any) -> Any:
        return Pipeline([Use("astray", **options)]).run(toys.pattern(), registry=registry)

    run(at="front: a > b @ 20 %")
    run()
    for at in ("Back", '"Back": a'):
        error = stopped(lambda at=at: run(at=at))
        assert error.finding.code == "step.breach" and "Front" in error.finding.message
    run(at="Back: a", pieces=["Back"])  # the selection had put it back


def test_fullness_in_one_piece_of_a_style_with_a_sleeve() -> None:
    from seamwright.demo.blouse import blouse
    from seamwright.plan import apply_plan, load_plan

    plan = files("seamwright.demo").joinpath("data/chorus-blouse.plan.toml").read_bytes()
    style = apply_plan(blouse(["B", "E"]), load_plan(plan))[0]
    use = Use(
        "add-fullness", hinge="Back: neck > shoulder", opens="Back: hem-centre > hem-side",
        amount="40 mm",
    )  # fmt: skip
    _, record = Pipeline([use]).run(style)
    assert {k.name: k.moved for k in record.steps[0].invariants}["other-pieces"] == 0.0
