"""`seamwright ease`: paper and tape only. Four lengths in; ease, verdict and where to fold out.

No file is opened and no numpy is loaded.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

import click

from seamwright.findings import SeamwrightError, Severity
from seamwright.paper import (
    APART,
    DEPTH,
    FROM_SHOULDER,
    LARGEST_TUCK,
    SIDES,
    WIDEST_EVER,
    Answer,
    Cloth,
    Side,
    Span,
    about,
    answer,
    cloths,
    doubts,
    find_cloth,
    no_answer,
    read_cloths,
)
from seamwright.units import UNITS, format_length, parse_length

from .common import print_json, status

_MEASURES = (
    ("cap_back", "back of the sleeve cap, shoulder point to underarm"),
    ("cap_front", "front of the sleeve cap, shoulder point to underarm"),
    ("armhole_back", "back armhole, shoulder seam to side seam"),
    ("armhole_front", "front armhole, shoulder seam to side seam"),
)


class _LengthType(click.ParamType[float]):
    """A length with or without its unit; a bare number counts in --units."""

    name = "length"

    def __init__(self, unit: str | None = None) -> None:
        self.unit = unit

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        if isinstance(value, float):
            return value
        unit = self.unit or ("mm" if ctx is None else ctx.params.get("units", "mm"))
        try:
            length = parse_length(str(value), default=unit)
        except ValueError as error:
            self.fail(str(error), param, ctx)
        if not length > 0.0:
            self.fail(f'"{value}" is not above 0', param, ctx)
        return length


class _EaseType(_LengthType):
    """A length that may be 0."""

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        if str(value).strip().split(" ")[0] in ("0", "0.0"):
            return 0.0
        return super().convert(value, param, ctx)


_LENGTH, _EASE = _LengthType(), _EaseType()


@click.command(
    name="ease",
    short_help="Paper and tape only: four lengths in, where to fold out.",
    epilog="Measure along the seam lines, with the tape on its edge. The two sides of a cap meet "
    "at the shoulder point; the two sides of an armhole at the shoulder seam.",
)
@click.option("--cap-back", type=_LENGTH, help="Sleeve cap, shoulder point to back underarm.")
@click.option("--cap-front", type=_LENGTH, help="Sleeve cap, shoulder point to front underarm.")
@click.option("--armhole-back", type=_LENGTH, help="Back armhole, shoulder to side seam.")
@click.option("--armhole-front", type=_LENGTH, help="Front armhole, shoulder to side seam.")
@click.option(
    "--cloth", "cloth_name", metavar="NAME", help="What it is sewn in. See --list-cloths."
)
@click.option(
    "--cloths",
    "cloth_file",
    type=click.Path(exists=True, dir_okay=False, path_type=Path),
    help="A table of your own cloths (TOML), beside the one that ships.",
)
@click.option("--target-back", type=_EASE, help="Ease wanted in the back, instead of a cloth's.")
@click.option("--target-front", type=_EASE, help="Ease wanted in the front, instead of a cloth's.")
@click.option("--notch-back", type=_LENGTH, help="Shoulder point to the back notch, if measured.")
@click.option("--notch-front", type=_LENGTH, help="Shoulder point to the front notch, if measured.")
@click.option(
    "--from-shoulder",
    type=_LENGTH,
    default=FROM_SHOULDER,
    help="Where the tuck sits, down the cap from the shoulder point.  [default: 2 1/4 in]",
)
@click.option(
    "--largest-tuck",
    type=_LENGTH,
    default=LARGEST_TUCK,
    help="Widest tuck; 1/8 in for the cautious.  [default: 3/16 in]",
)
@click.option(
    "--manner",
    type=click.Choice(["tuck", "slash"]),
    default="tuck",
    show_default=True,
    help="A fold that goes to nothing, or a cut to a hinge that is overlapped.",
)
@click.option(
    "--units",
    type=click.Choice(list(UNITS)),
    default="mm",
    show_default=True,
    is_eager=True,
    help="Unit of bare numbers and of what is printed.",
)
@click.option("--json", "as_json", is_flag=True, help="One JSON document on stdout, in mm.")
@click.option(
    "--fail-on",
    type=click.Choice([s.value for s in Severity]),
    default="error",
    show_default=True,
    help="Exit with 1 from this severity on.",
)
@click.option("--list-cloths", is_flag=True, help="Print the cloth table with its sources.")
@click.pass_context
def command(
    ctx: click.Context,
    cap_back: float | None,
    cap_front: float | None,
    armhole_back: float | None,
    armhole_front: float | None,
    cloth_name: str | None,
    cloth_file: Path | None,
    target_back: float | None,
    target_front: float | None,
    notch_back: float | None,
    notch_front: float | None,
    from_shoulder: float,
    largest_tuck: float,
    manner: str,
    units: str,
    as_json: bool,
    fail_on: str,
    list_cloths: bool,
) -> None:
    """Tell where to fold a sleeve cap that holds too much ease.

    Give the four lengths along the seam lines and what the sleeve is sewn in. Works on paper
    patterns: no file is needed.

    \b
    seamwright ease --cap-back "10 1/2 in" --cap-front "10 1/4 in" \\
        --armhole-back "9 3/4 in" --armhole-front "9 1/2 in" \\
        --cloth "firm woven" --units in
    """
    if list_cloths:
        _print_cloths([*_own_cloths(cloth_file), *cloths()], units)
        return
    if largest_tuck > WIDEST_EVER:
        raise click.BadParameter(
            f"{format_length(largest_tuck, units)} leaves a bubble that will not press flat; "
            f"at most {format_length(WIDEST_EVER, units)}",
            param_hint="--largest-tuck",
        )
    given = {
        "cap_back": cap_back,
        "cap_front": cap_front,
        "armhole_back": armhole_back,
        "armhole_front": armhole_front,
    }
    lengths = _all_lengths(ctx, given, units)
    targets: dict[Side, float | None] = {"back": target_back, "front": target_front}
    try:
        cloth = _cloth(cloth_name, targets, _own_cloths(cloth_file))
    except SeamwrightError as error:
        if not as_json:
            raise
        print_json(no_answer(error, units))
        ctx.exit(2)
    spans: dict[Side, Span] = {}
    for side in SIDES:
        target = targets[side]
        if target is not None:
            spans[side] = Span(at_most=target)
        elif cloth is not None:
            spans[side] = cloth.side(side)
    notches: dict[Side, float | None] = {"back": notch_back, "front": notch_front}
    found = answer(
        cap={"back": lengths["cap_back"], "front": lengths["cap_front"]},
        armhole={"back": lengths["armhole_back"], "front": lengths["armhole_front"]},
        spans=spans,
        cloth=cloth,
        unit=units,
        from_shoulder=from_shoulder,
        largest=largest_tuck,
        apart=APART,
        depth=DEPTH,
        room={side: at for side, at in notches.items() if at is not None},
        manner="slash" if manner == "slash" else "tuck",
    )
    if as_json:
        print_json(found.to_json())
    else:
        _print(found)
    ctx.exit(status(found.findings, fail_on))


def _own_cloths(path: Path | None) -> tuple[Cloth, ...]:
    if path is None:
        return ()
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise SeamwrightError.of(
            "cloth.table", f"the cloth table cannot be read: {error}", file=path.name
        ) from None
    return read_cloths(text, name=path.name)


def _all_lengths(
    ctx: click.Context, given: dict[str, float | None], units: str
) -> dict[str, float]:
    """The four lengths; asked for on a terminal where they are missing."""
    missing = [name for name, value in given.items() if value is None]
    if missing and not _asks():
        options = ", ".join("--" + name.replace("_", "-") for name in missing)
        raise click.UsageError(f"Missing {options}. Give all four lengths.", ctx)
    found = {name: value for name, value in given.items() if value is not None}
    for name, what in _MEASURES:
        if name in missing:
            found[name] = click.prompt(
                f"{what[0].upper()}{what[1:]} ({units})", type=_LengthType(units), err=True
            )
    return found


def _cloth(
    name: str | None, targets: dict[Side, float | None], more: Sequence[Cloth]
) -> Cloth | None:
    if all(target is not None for target in targets.values()):
        if name is not None:
            raise click.UsageError("Give a cloth or both targets, not all three.")
        return None
    if name is None:
        names = list(dict.fromkeys(c.name for c in [*more, *cloths()]))
        if not _asks():
            raise click.UsageError(
                "Missing --cloth (or --target-back and --target-front). Known: "
                + ", ".join(names)
                + "."
            )
        click.echo("What is it sewn in? " + ", ".join(names), err=True)
        name = click.prompt("Cloth", default=names[0], err=True)
    return find_cloth(name or "", more)


def _asks() -> bool:
    """Whether there is a person to ask."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def _print(found: Answer) -> None:
    from .ease_sketch import sketch, tuck_picture  # noqa: PLC0415 - only for print

    unit = found.unit

    def said(mm: float) -> str:
        return format_length(mm, unit)

    rows = [("", "cap", "armhole", "ease", "may hold", "verdict")]
    for half in found.halves:
        least = half.span.at_least
        may = f"up to {said(half.span.at_most)}"
        if least:
            may = f"{said(least)} to {said(half.span.at_most)}"
        verdict = {
            "ok": "fits",
            "over": f"too much by {said(half.ease - half.span.at_most)}",
            "under": f"too little by {said((least or 0.0) - half.ease)}",
        }[half.verdict]
        rows.append((half.side, said(half.cap), said(half.armhole), said(half.ease), may, verdict))
    total = sum(half.ease for half in found.halves)
    rows.append(("both", "", "", said(total), "", ""))
    for line in _table(rows):
        click.echo(line)
    if found.cloth is not None:
        note = f": {found.cloth.about}" if found.cloth.about else ""
        click.echo(f"\nCloth: {found.cloth.name}{note} (source: {found.cloth.source})")
    for doubt in doubts(found):
        click.echo(f"\nLook again: {doubt}")
    for finding in found.findings:
        if finding.code != "ease.over":
            click.echo(f"\n{finding.message[0].upper()}{finding.message[1:]}.")
            click.echo(f"{finding.hint}" if finding.hint else "")
    tucks = {half.side: half.folding.tucks for half in found.halves}
    if not any(tucks.values()):
        if all(half.verdict == "ok" for half in found.halves):
            click.echo("\nNothing needs folding out.")
        return
    click.echo("\nWhere to fold (not to scale; the back is drawn on the left):\n")
    for line in sketch(tucks, {half.side: half.cap for half in found.halves}):
        click.echo("  " + line if line else "")
    widths = {round(t.width, 6) for places in tucks.values() for t in places}
    if found.manner == "tuck":
        click.echo("\nA tuck:\n")
        width = said(widths.pop()) if len(widths) == 1 else "as given"
        for line in tuck_picture(width, about(found.depth, unit)):
            click.echo("  " + line)
    click.echo()
    letters = _lettered(found)
    for number, step in enumerate(found.steps, start=1):
        letter = f"{letters[number - 1]}: " if number <= len(letters) else ""
        click.echo(
            click.wrap_text(
                f"{number}. {letter}{step}", width=79, initial_indent="", subsequent_indent="   "
            )
        )
    click.echo()
    for caution in found.cautions:
        click.echo(click.wrap_text(f"! {caution}", width=79, subsequent_indent="  "))


def _lettered(found: Answer) -> list[str]:
    """The sketch's letter for each fold, in the order in which the folds are listed."""
    back, front = (half.folding.tucks for half in found.halves)
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    # The sketch counts from the back's underarm up, the list from the shoulder point down.
    return [letters[len(back) - 1 - i] for i in range(len(back))] + [
        letters[len(back) + i] for i in range(len(front))
    ]


def _table(rows: Sequence[tuple[str, ...]]) -> list[str]:
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return [
        "   ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    ]


def _print_cloths(known: Sequence[Cloth], unit: str) -> None:
    for cloth in known:
        click.echo(cloth.name + (f": {cloth.about}" if cloth.about else ""))
        for side in SIDES:
            span = cloth.side(side)
            least = f"{format_length(span.at_least, unit)} to " if span.at_least else "up to "
            click.echo(f"  {side:5} {least}{format_length(span.at_most, unit)}")
        click.echo(f"  source: {cloth.source}\n")
