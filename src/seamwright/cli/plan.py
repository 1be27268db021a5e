"""`seamwright plan FILE...`: a seam plan proposed from the pieces' shapes, with a picture."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from seamwright.findings import Finding, SeamwrightError, in_order
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import stem_of
from seamwright.plugins.sink import check_target, put

from .common import (
    as_findings,
    judging_options,
    limit_option,
    number,
    output_options,
    print_json,
    status,
    the_registry,
)
from .flags import FormatCommand, given
from .inputs import file_argument, open_all
from .plan_styles import patterns_in
from .printable import printable
from .progress import track
from .say import say

if TYPE_CHECKING:
    from seamwright.model import Pattern
    from seamwright.plan.proposal import Proposal


@dataclass(slots=True)
class Style:
    """One file: what became of it. shared: the plan of another style that serves this one."""

    file: str
    plan: Path
    picture: Path
    pattern: Pattern | None = None
    proposal: Proposal | None = None
    text: str = ""
    shared: Path | None = None
    differs: list[str] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    written: bool = False


@click.command(name="plan", cls=FormatCommand)
@file_argument
@click.option(
    "--out", metavar="PLAN", help="Plan to write.  [default: FILE's name with .plan.toml]"
)
@click.option(
    "--picture", metavar="SVG", help="Picture to write.  [default: PLAN's name with .svg]"
)
@click.option(
    "--update",
    is_flag=True,
    help="Keep what stands in the plan that is there, find its names again, add what is new.",
)
@click.option("--format", "format_name", metavar="NAME", help="Format, where bytes do not tell.")
@output_options
@judging_options
@limit_option
@click.pass_context
def command(
    ctx: click.Context,
    files: tuple[str, ...],
    out: str | None,
    picture: str | None,
    update: bool,
    format_name: str | None,
    as_json: bool,
    units: Any,
    fail_on: str,
    strict_plugins: bool,
    limits: Limits,
) -> int:
    """Propose which edges are sewn together: a seam plan, and a picture to say yes or no to.

    The pieces' shapes in all sizes are looked at, names are not needed. Each seam in the plan says
    how sure it is and why; unsure ones are comments. A plan that lies beside the pattern as
    `<name>.plan.toml` is found by every command, and is never written over: --update keeps what
    stands in it. With a folder, or several files, styles that are alike share one plan.
    """
    registry, findings = the_registry(strict_plugins)
    names = patterns_in(files, registry)
    if len(names) > 1 and (out or picture):
        raise click.UsageError(
            "--out and --picture go with one file; a folder has one plan a style"
        )
    styles: list[Style] = []
    todo: list[str] = []
    for name in names:
        plan = Path(out) if out else _beside(Path(name))
        style = Style(name, plan, Path(picture) if picture else _pictured(plan))
        styles.append(style)
        try:
            _may_write(style, update)
            todo.append(name)
        except SeamwrightError as error:
            style.findings += as_findings(error, name)
    by_name = {style.file: style for style in styles}
    done: list[Style] = []
    try:
        opened_all = open_all(
            todo,
            options=given(ctx, "reader"),
            registry=registry,
            units=units,
            limits=limits,
            format=format_name,
            plan="none",
        )
        for opened in track(opened_all, len(todo), "looking"):
            style = by_name[opened.name]
            style.findings += opened.findings
            style.pattern = opened.pattern
            if style.pattern is None:
                continue
            try:
                _propose(style, done, units, update)
                _write(style, units, update)
                done.append(style)
            except SeamwrightError as error:
                style.findings += as_findings(error, style.file)
    except SeamwrightError as error:
        findings += as_findings(error)
    every = [*findings, *(f for style in styles for f in style.findings)]
    if as_json:
        documents = [_document(style) for style in styles]
        if len(styles) == 1:
            documents[0]["findings"] = [f.to_json() for f in in_order(every)]
            print_json(documents[0])
        else:
            print_json({"styles": documents, "findings": [f.to_json() for f in in_order(findings)]})
    else:
        say(findings)
        for style in styles:
            say(style.findings, with_file=len(styles) > 1)
            _tell(style, brief=len(styles) > 1)
    failed = not styles or not all(style.written for style in styles)
    return status(every, fail_on, failed=failed, previews=registry.previews)


def _may_write(style: Style, update: bool) -> None:
    """Raises SeamwrightError where something is there that must not go."""
    for path in (style.plan, style.picture):
        try:
            check_target(path, overwrite=update, inputs=[Path(style.file)])
        except SeamwrightError as error:
            if error.finding.code != "file.exists":
                raise
            raise SeamwrightError(
                error.finding.but(
                    hint="--update keeps what stands in the plan and adds what is new; the picture "
                    "is drawn anew"
                )
            ) from None


def _propose(style: Style, done: list[Style], units: Any, update: bool) -> None:
    from seamwright.plan.proposal import propose_seams  # noqa: PLC0415
    from seamwright.plan.proposal.alike import differences, same_marks  # noqa: PLC0415
    from seamwright.plan.propose import propose, updated  # noqa: PLC0415 - numpy comes with it

    pattern = style.pattern
    assert pattern is not None, "a style without a pattern is not proposed for"
    if update and style.plan.is_file():
        text = style.plan.read_text(encoding="utf-8-sig")
        style.text, style.proposal, style.pattern, said = updated(
            pattern, text, units=units, picture=style.picture.name, file=str(style.plan)
        )
        style.findings += said
        return
    style.proposal = propose_seams(pattern, keep=pattern.seams)
    for other in done:
        if other.shared is not None or other.pattern is None or other.proposal is None:
            continue
        if other.plan.parent == style.plan.parent and same_marks(other.pattern, pattern):
            style.shared = other.plan
            style.differs = differences(
                (other.pattern, other.proposal), (pattern, style.proposal), units=units
            )
            style.text = _pointer(style, other)
            return
    style.text = propose(pattern, units=units, picture=style.picture.name, proposal=style.proposal)


def _pointer(style: Style, other: Style) -> str:
    from seamwright.plan.write import quoted  # noqa: PLC0415

    told = "\n".join(f"# {printable(line)}" for line in style.differs) or "# No differences seen."
    return (
        f"# This style has the pieces, corners and notches of {Path(other.file).name}: they share\n"
        f"# one seam plan.\n{told}\nsame-as = {quoted(other.plan.name)}\n"
    )


def _write(style: Style, units: Any, update: bool) -> None:
    from seamwright.plan import plan_picture  # noqa: PLC0415

    assert style.pattern is not None, "only a pattern that was read is drawn"
    drawn = plan_picture(style.pattern, units=units, proposal=style.proposal)
    files = {style.plan: style.text.encode("utf-8"), style.picture: drawn.encode("utf-8")}
    put(files, overwrite=update, inputs=[Path(style.file)])
    style.written = True


def _beside(file: Path) -> Path:
    return file.with_name(stem_of(file) + ".plan.toml")


def _pictured(plan: Path) -> Path:
    return plan.with_name(plan.name.removesuffix(".toml") + ".svg")


def _document(style: Style) -> dict[str, Any]:
    pieces: list[dict[str, Any]] = []
    seams: list[dict[str, Any]] = []
    free: list[dict[str, str]] = []
    if style.written and style.pattern is not None and style.proposal is not None:
        from seamwright.plan import proposed  # noqa: PLC0415

        for name, names in proposed(style.pattern, style.proposal).items():
            pieces.append(
                {
                    "name": name,
                    "corners": list(names.corners or ()),
                    "notches": list(names.notches or ()),
                }
            )
        seams = [
            {
                "name": one.seam.name,
                "sew": [str(p) for p in one.seam.sew.parts],
                "to": [str(p) for p in one.seam.to.parts],
                "cap": one.seam.cap,
                "level": str(one.level),
                "confidence": round(one.confidence, 3),
                "why": list(one.why),
                "rivals": list(one.rivals),
            }
            for one in style.proposal.seams
        ]
        free = [{"piece": e.piece, "edge": str(e.edge), "why": e.why} for e in style.proposal.free]
    return {
        "input": style.file,
        "plan": str(style.plan) if style.written else None,
        "picture": str(style.picture) if style.written else None,
        "shared": str(style.shared) if style.shared is not None else None,
        "differences": list(style.differs),
        "pieces": pieces,
        "seams": seams,
        "free": free,
        "findings": [f.to_json() for f in in_order(style.findings)],
    }


def _tell(style: Style, *, brief: bool) -> None:
    if not style.written or style.proposal is None:
        return
    levels = [str(one.level) for one in style.proposal.seams]
    found = ", ".join(f"{levels.count(level)} {level}" for level in ("sure", "likely", "unsure"))
    if brief:
        how = f"shares {style.shared.name}" if style.shared is not None else f"wrote {style.plan}"
        click.echo(printable(f"{style.file}: {how}; seams: {found}"))
        for line in style.differs:
            click.echo(printable(f"  {line}"))
        return
    click.echo(f"wrote {style.plan}")
    click.echo(f"wrote {style.picture}")
    click.echo(f"\n{number(len(levels), 'seam')} proposed: {found}.")
    riddles = [e for e in style.proposal.free if e.why == "unexplained"]
    if riddles:
        click.echo(f"{number(len(riddles), 'edge')} not explained; the plan lists them.")
    click.echo(
        "\nNext:\n"
        f"1. Open {style.picture} in a browser: two edges of one colour and number are sewn "
        "together.\n"
        f"2. In {style.plan} take out what is wrong and take the # from what is right; unsure\n"
        "   seams stand there as comments.\n"
        f"3. seamwright check {style.file} --plan {style.plan}"
    )
