"""Toy formats, steps and reports, and small patterns to try them on.

The toy format keeps everything: its files are "TOY" and a pickle. What a test wants to go wrong
is put in by hand: `toy_format(writes=...)` alters the pattern before it is written.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterable, Mapping, Sequence
from types import SimpleNamespace
from typing import Annotated, Any

import msgspec

from seamwright.geometry import Curve, Station
from seamwright.model import (
    Corner,
    GrainLine,
    Notch,
    NotchType,
    Pattern,
    Piece,
    Run,
    RunPart,
    Seam,
    Shape,
    Text,
    build_shape,
)
from seamwright.plugins.api import (
    API,
    EXACT,
    Carried,
    Code,
    Context,
    Feature,
    Finding,
    Format,
    Guess,
    Head,
    Length,
    Options,
    Part,
    Reader,
    ReadResult,
    Report,
    SeamwrightError,
    Severity,
    Source,
    Step,
    StepResult,
    Writer,
    WriteResult,
    flag,
    hookimpl,
    length,
    number,
    text,
)

MAGIC = b"TOY\n"


class ToyIn(Options, frozen=True):
    scale: Annotated[float, number("Factor.", at_least=0.01)] = 1.0
    join: Annotated[Length, length("Widest gap.", at_least=0, at_most=25)] = Length(0.25)
    marks: Annotated[list[str], text("Marks to read.")] = msgspec.field(default_factory=list)
    strict_eyes: Annotated[bool, flag("Look twice.")] = False


class ToyOut(Options, frozen=True):
    tolerance: Annotated[Length, length("Chord tolerance.", at_least=0.001)] = Length(0.05)
    label: Annotated[str, text("A label.")] = ""


def _read(source: Source, options: ToyIn, ctx: Context) -> ReadResult:
    if not source.data.startswith(MAGIC):
        raise SeamwrightError.of("toy.broken", "not a toy", hint="use another")
    try:
        pattern = pickle.loads(source.data[len(MAGIC) :])
    except (pickle.UnpicklingError, EOFError) as error:
        raise SeamwrightError.of("toy.broken", f"cut short: {error}", hint="again") from error
    if options.scale != 1.0:
        scale = [[options.scale, 0, 0], [0, options.scale, 0]]
        pattern = pattern.map_shapes(lambda _, s: s.but(seam_line=s.seam_line.transformed(scale)))
    note = Finding(code="toy.read", severity=Severity.NOTE, message="A toy was read.")
    return ReadResult(pattern=pattern, findings=(note,), facts={"beside": sorted(source.beside)})


def toy_format(
    name: str = "toy",
    *,
    suffixes: Sequence[str] = (".toy",),
    carries: Mapping[Feature, Carried] | None = None,
    writes: Callable[[Pattern], Pattern] = lambda p: p,
    sniff: Callable[[Head], Guess] | None = None,
    reads: bool = True,
    can_write: bool = True,
    run: Callable[..., WriteResult] | None = None,
    read: Callable[..., ReadResult] = _read,
    beside: tuple[str, ...] = (),
) -> Format:
    """A format that keeps everything, but for what `writes` does to the pattern."""

    def write(pattern: Pattern, options: ToyOut, ctx: Context) -> WriteResult:
        data = MAGIC + pickle.dumps(writes(pattern))
        return WriteResult(parts=(Part(data=data),))

    def sees(head: Head) -> Guess:
        return Guess.YES if head.data.startswith(MAGIC) else Guess.NO

    return Format(
        name=name,
        help="A toy.",
        suffixes=tuple(suffixes),
        sniff=sniff or sees,
        carries=dict.fromkeys(Feature, EXACT) if carries is None else carries,
        reader=Reader(options=ToyIn, run=read, beside=beside) if reads else None,
        writer=Writer(options=ToyOut, run=run or write) if can_write else None,
        codes=(_code("toy.read", Severity.NOTE), _code("toy.broken")),
    )


def _code(code: str, severity: Severity = Severity.ERROR, *, preview: bool = False) -> Code:
    return Code(code=code, severity=severity, title="t", why="w", remedy="r", preview=preview)


class Nudge(Options, frozen=True):
    by: Annotated[Length, length("How far up.", at_least=-100, at_most=100)] = Length(1.0)


def _nudge(pattern: Pattern, options: Nudge, ctx: Context) -> StepResult:
    """Moves every shape up."""
    moved = pattern.map_shapes(
        lambda _, s: s.but(seam_line=s.seam_line.translated(0.0, float(options.by)))
    )
    found = [
        Finding(
            code="toy.nudged", severity=Severity.NOTE, message="Moved.", piece=p.name, size=s.size
        )
        for p in pattern.pieces
        for s in p.shapes
    ]
    return StepResult(pattern=moved, findings=tuple(found), figures={"by": float(options.by)})


def _look(pattern: Pattern, options: Options, ctx: Context) -> StepResult:
    number = sum(len(p.shapes) for p in pattern.pieces)
    return StepResult(pattern=pattern, looked_at=number)


def toy_step(
    name: str,
    run: Callable[..., Any] = _look,
    *,
    kind: Any = "check",
    options: type[Any] = Options,
    keeps: tuple[str, ...] = (),
    codes: Iterable[Code] = (),
) -> Step[Any]:
    """A step; by default a check that looks at every shape."""
    return Step(
        name=name, help="A toy.", options=options, run=run, kind=kind, keeps=keeps,
        codes=(_code("toy.nudged", Severity.NOTE), *codes),
    )  # fmt: skip


def nudge(*, keeps: tuple[str, ...] = ()) -> Step[Any]:
    """A step that moves every shape up."""
    return toy_step("nudge", _nudge, kind="alteration", options=Nudge, keeps=keeps)


def _summary(record: Any, options: Options, ctx: Context) -> WriteResult:
    words = " ".join(step.use for step in record.steps)
    return WriteResult(parts=(Part(data=f"{record.after.name}: {words}\n".encode()),))


def toy_report(name: str = "words") -> Report[Any]:
    """A report with the names of the steps."""
    return Report(name=name, help="Words.", suffixes=(".words",), options=Options, run=_summary)


def plugin(*things: Any, name: str = "toys.plugin") -> SimpleNamespace:
    """A plugin module with those formats, steps and reports."""

    @hookimpl
    def seamwright_formats() -> list[Any]:
        return [t for t in things if isinstance(t, Format)]

    @hookimpl
    def seamwright_steps() -> list[Any]:
        return [t for t in things if isinstance(t, Step)]

    @hookimpl
    def seamwright_reports() -> list[Any]:
        return [t for t in things if isinstance(t, Report)]

    return SimpleNamespace(
        __name__=name, API=API, seamwright_formats=seamwright_formats,
        seamwright_steps=seamwright_steps, seamwright_reports=seamwright_reports,
    )  # fmt: skip


def registry(*things: Any) -> Any:
    """A registry with one plugin, `toys`, that brings those things."""
    from seamwright.plugins.registry import Registry

    return Registry(of=[("toys", plugin(*things))])


def box(
    size: str,
    width: float,
    height: float,
    *,
    x: float = 0.0,
    names: Sequence[str] = (),
    **more: Any,
) -> Shape:
    """A rectangle with corners a (upper left), b (lower left), c, d, and a curved lower edge."""
    segments: list[Any] = [
        _line((x, height), (x, 0)),
        [(x, 0), (x + width / 3, -5), (x + 2 * width / 3, -5), (x + width, 0)],
        _line((x + width, 0), (x + width, height)),
        _line((x + width, height), (x, height)),
    ]
    outline = Curve.from_segments(segments, [0, 1, 0, 0], closed=True)
    return build_shape(
        size=size,
        outline=outline,
        corner_names=names or ("a", "b", "c", "d"),
        corners=[Station(i, 0.0) for i in range(4)],
        **more,
    )


def _line(a: tuple[float, float], b: tuple[float, float]) -> list[tuple[float, float]]:
    return [
        a,
        (a[0] + (b[0] - a[0]) / 3, a[1] + (b[1] - a[1]) / 3),
        (a[0] + 2 * (b[0] - a[0]) / 3, a[1] + 2 * (b[1] - a[1]) / 3),
        b,
    ]


def pattern(sizes: Sequence[str] = ("S", "L"), *, plain: bool = False) -> Pattern:
    """Two pieces, Front and Back, sewn along their sides, in the sizes given. plain: outlines
    only."""
    fronts, backs = [], []
    for i, size in enumerate(sizes):
        marks: dict[str, Any] = {}
        if not plain:
            marks = {
                "notches": (
                    Notch(name="hip", station=Station(0, 0.5), type=NotchType.T, depth=6.0),
                ),
                "grain_line": GrainLine(start=(30.0, 20.0), end=(30.0, 80.0)),
                "texts": (Text(text=f"size {size}", at=(20.0, 50.0)),),
            }
        fronts.append(box(size, 100 + 10 * i, 200 + 5 * i, **marks))
        backs.append(box(size, 110 + 10 * i, 203 + 5 * i, x=300.0))
    side = Seam(
        name="side",
        sew=Run(parts=(RunPart(piece="Front", marks=("a", "b")),)),
        to=Run(parts=(RunPart(piece="Back", marks=("a", "b")),)),
    )
    return Pattern(
        name="Toy blouse",
        pieces=(
            Piece(name="Front", shapes=tuple(fronts)),
            Piece(name="Back", shapes=tuple(backs), quantity=(1, 1) if not plain else (1, 0)),
        ),
        sizes=tuple(sizes),
        base_size=sizes[0],
        seams=() if plain else (side,),
    )


def save(path: Any, pattern: Pattern) -> Any:
    """A toy file."""
    path.write_bytes(MAGIC + pickle.dumps(pattern))
    return path


__all__ = ["Corner", "box", "nudge", "pattern", "plugin", "registry", "save", "toy_format"]


class Walk(Options, frozen=True):
    within: Annotated[Length, length("How far apart the sides may be.", at_least=0)] = Length(1.0)


def _walk(pattern: Pattern, options: Walk, ctx: Context) -> StepResult:
    """A walk: over where the sew side is longer by more than 1 mm, under where it is shorter."""
    most = float(options.within)
    from seamwright.plan import walk

    if not pattern.seams:
        return StepResult(pattern=pattern, skipped="there is no seam plan")
    found = walk(pattern)
    rows, findings = [], []
    for s, seam in enumerate(found.seams):
        for z, size in enumerate(found.sizes):
            ease = float(found.ease[s, z])
            verdict = "over" if ease > most else "under" if ease < -most else "ok"
            rows.append(
                {
                    "name": seam.name, "size": size, "sew_length": float(found.sew_lengths[s, z]),
                    "to_length": float(found.to_lengths[s, z]), "ease": ease, "at_least": -most,
                    "at_most": most, "verdict": verdict, "stretches": [],
                }
            )  # fmt: skip
            if verdict != "ok":
                findings.append(
                    Finding(
                        code=f"seam.{verdict}", severity=Severity.ERROR, message="Out of range.",
                        seam=seam.name, size=size, measured=ease, limit=1.0,
                    )
                )  # fmt: skip
    return StepResult(
        pattern=pattern, findings=tuple(findings), looked_at=len(rows), figures={"seams": rows}
    )


class Fit(Options, frozen=True):
    """No options."""


def _fit(pattern: Pattern, options: Fit, ctx: Context) -> StepResult:
    """Gives Back the outline of Front, so that they go together."""
    front = pattern.piece("Front")
    back = pattern.piece("Back").but(shapes=front.shapes)
    return StepResult(pattern=pattern.with_pieces([back]))


def full_registry(**format_options: Any) -> Any:
    """A registry with a format, a walk, two alterations and a report."""
    codes = [_code("seam.over"), _code("seam.under")]
    return registry(
        toy_format(**format_options),
        toy_step("walk", _walk, options=Walk, codes=codes),
        toy_step("fit", _fit, kind="alteration", options=Fit),
        nudge(),
        toy_report(),
    )
