"""Reading a plot: bytes in, a pattern and findings out."""

from __future__ import annotations

from collections.abc import Iterator

from seamwright.model.recognise import Notes, count, listed, recognise
from seamwright.plugins.api import (
    Context,
    Finding,
    ReadResult,
    SeamwrightError,
    Severity,
    Source,
)

from .options import HpglIn
from .reading.lines import drawing_of
from .reading.machine import Machine
from .reading.tokens import Instruction, instructions
from .sniff import is_hpgl


def read(source: Source, options: HpglIn, context: Context) -> ReadResult:
    """The pattern that a plot holds.

    Raises SeamwrightError: hpgl.not-hpgl, hpgl.limit, hpgl.empty.
    """
    if not is_hpgl(source.data[:4096], least=1):
        raise SeamwrightError.of(
            "hpgl.not-hpgl",
            "this is not HP-GL: it does not begin with plotter instructions",
            file=source.name,
            hint="a print file for another kind of printer has other suffixes, but may bear .prn "
            "or .plt; make the plot again for a pen plotter",
        )
    notes = Notes(
        source.name,
        "hpgl",
        context.length,
        rescale="read with another length of the plotter unit: unit = the present one times "
        "{factor}",
    )
    machine = Machine(context.limits.points)
    try:
        machine.run(_bounded(source.data, context.limits.elements))
    except OverflowError as error:
        name = str(error)
        bound = getattr(context.limits, name)
        what = "points" if name == "points" else "instructions"
        raise SeamwrightError.of(
            "hpgl.limit",
            f"the plot holds more than {bound:,} {what}",
            file=source.name,
            limit=float(bound),
            hint=f"raise it, if you trust the file: --limit {name}=NUMBER",
        ) from None
    _tell(machine, notes)
    drawing = drawing_of(machine, float(options.unit), options.pens, "latin-1")
    if not drawing.strokes:
        raise SeamwrightError(
            Finding(
                code="hpgl.empty",
                severity=Severity.ERROR,
                message="the plot draws nothing",
                file=source.name,
            ),
            others=notes.findings,
        )
    found = recognise(drawing, options, notes)
    if found.outside:
        notes.note(
            "hpgl.outside",
            f"outside all pieces: {count(len(found.outside), 'line or text', 'lines and texts')}; "
            "not kept",
        )
    facts = {**found.facts, "instructions": dict(sorted(machine.used.items()))}
    return ReadResult(pattern=found.pattern, findings=tuple(notes.findings), facts=facts)


def _bounded(data: bytes, most: int) -> Iterator[Instruction]:
    for number, step in enumerate(instructions(data)):
        if number >= most:
            raise OverflowError("elements")
        yield step


def _tell(machine: Machine, notes: Notes) -> None:
    faults = machine.faults
    if faults.unknown or faults.junk:
        names = [f"{n} ({k} times)" if k > 1 else n for n, k in sorted(faults.unknown.items())]
        said = f"{count(len(names), 'instruction')} unknown: {listed(names, 8)}" if names else ""
        junk = f"{count(faults.junk, 'character')} between instructions" if faults.junk else ""
        notes.warn(
            "hpgl.unknown",
            "; ".join(s for s in (said, junk) if s) + ": passed over",
            hint="if lines are missing, the plot is in a dialect that is not known here",
        )
    if faults.broken:
        what, at = faults.broken[0]
        notes.error(
            "hpgl.broken",
            f"{count(len(faults.broken), 'instruction')} could not be followed; the first: {what}, "
            f"at byte {at}",
            measured=float(at),
            hint="make the plot again, or look at what is missing",
        )
    if faults.scale_guessed:
        notes.warn(
            "hpgl.scale-guessed",
            "the plot scales its units to corners of the sheet that it does not state; taken for "
            "those of an A0 sheet (1189 by 841 mm)",
            hint="measure a length that you know before you trust it",
        )
