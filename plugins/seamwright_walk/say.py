"""The check's sentences, in the user's units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from seamwright.model import Run, Seam
from seamwright.plugins.api import Context, Finding, Severity


def out_of_range(
    seam: Seam, size: str, *, ease: float, limit: float, over: bool, ctx: Context
) -> Finding:
    """A seam whose ease lies over or under its range."""
    say = ctx.length
    if seam.ease is None:
        # Nothing is said of ease: the two edges should simply be as long as one another.
        longer = seam.sew if ease > 0 else seam.to
        message = (
            f'the sides of seam "{seam.name}" differ by {say(abs(ease))} in size {size}: '
            f"{_name(longer, seam)} is longer; {say(abs(limit))} would pass"
        )
        hint = "true the two edges to one length, or state the ease that is meant in the plan"
    elif over:
        message = (
            f'seam "{seam.name}" has {say(ease)} of ease in size {size}, '
            f"{say(ease - limit)} more than the {say(limit)} intended"
        )
        hint = (
            "take ease out of the cap with the step ease-cap"
            if seam.cap
            else "shorten the sew side, or let out the other"
        )
    else:
        message = (
            f'seam "{seam.name}" has {say(ease)} of ease in size {size}, '
            f"{say(limit - ease)} less than the {say(limit)} intended"
        )
        hint = "lengthen the sew side, or shorten the other"
    parts = seam.sew.parts
    return Finding(
        code="seam.over" if over else "seam.under",
        severity=Severity.ERROR,
        message=message,
        file=ctx.file,
        piece=parts[0].piece,
        size=size,
        seam=seam.name,
        edge=" > ".join(parts[0].marks) if len(parts) == 1 else None,
        measured=ease,
        limit=limit,
        hint=hint,
    )


def miss(
    seam: Seam,
    names: tuple[str, str],
    size: str,
    *,
    miss: float,
    severity: Severity,
    limit: float,
    ctx: Context,
) -> Finding:
    """A pair of notches that do not meet."""
    past = "past" if miss > 0 else "short of"
    return Finding(
        code="notch.miss",
        severity=severity,
        message=(
            f'on seam "{seam.name}" in size {size}, "{names[0]}" comes {ctx.length(abs(miss))} '
            f'{past} "{names[1]}", however the ease is spread'
        ),
        file=ctx.file,
        piece=seam.sew.parts[0].piece,
        size=size,
        seam=seam.name,
        measured=abs(miss),
        limit=limit,
        hint=f"move one of the two by {ctx.length(abs(miss))}, or correct the lengths beside it",
    )


def cut_line(piece: str, sizes: Sequence[str], *, of: int) -> Finding:
    """A piece whose seam line is not known."""
    where = (
        "" if len(sizes) == of else f" in size{'s' if len(sizes) > 1 else ''} " + ", ".join(sizes)
    )
    return Finding(
        code="walk.cut-line",
        severity=Severity.WARNING,
        message=f'the cut line of "{piece}" was walked{where}, for want of a seam line',
        piece=piece,
        size=sizes[0] if len(sizes) == 1 else None,
        hint="state the seam allowance, so that the seam line can be made from the cut line",
    )


def cap_note(row: Mapping[str, Any], ctx: Context) -> Finding:
    """Ease of a cap, half by half, in one size."""
    halves = [
        f"{side} {ctx.length(row[side])}" for side in ("back", "front") if row[side] is not None
    ]
    total = row["total"]
    told = f", {ctx.length(total)} in all" if total is not None else "; the other half is not known"
    return Finding(
        code="cap.ease",
        severity=Severity.NOTE,
        message=f'the cap of "{row["sleeve"]}" in size {row["size"]} holds '
        f"{' and '.join(halves)}{told}",
        file=ctx.file,
        piece=row["sleeve"],
        size=row["size"],
        measured=total,
    )


def _name(run: Run, seam: Seam) -> str:
    """Whom to call longer: the piece, or the whole run where both sides are on one piece."""
    if set(seam.sew.pieces) & set(seam.to.pieces):
        return f'"{run}"'
    return " and ".join(f'"{name}"' for name in run.pieces)
