"""Which seam plan counts: the one named, else the one beside the pattern, else the one inside."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from seamwright.findings import Finding, SeamwrightError, Severity
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import bounded_bytes, plan_beside

if TYPE_CHECKING:
    from seamwright.model import Pattern
    from seamwright.plan import SeamPlan


PROPOSED = "proposed, sure seams only"
AUTO, NO_PLAN = "auto", "none"
"""In place of a plan's path (write "./auto" for a file of that name)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A pattern with its plan laid on. name: the plan's file; None for the pattern's own."""

    pattern: Pattern
    findings: tuple[Finding, ...] = ()
    name: str | None = None
    digest: str = ""


def read_plan(path: str | Path, limits: Limits | None = None) -> tuple[SeamPlan, str, str]:
    """The plan in a file, its display name and the SHA-256 of its bytes."""
    from seamwright.plan import load_plan  # noqa: PLC0415 - numpy comes with it

    raw = bounded_bytes(Path(path), limits or Limits(), limit="toml")
    plan = load_plan(raw, str(path))
    if plan.same_as is not None:
        # A style like another: its plan file only names the other's, which lies beside it.
        path = Path(path).with_name(plan.same_as)
        raw = bounded_bytes(path, limits or Limits(), limit="toml")
        plan = load_plan(raw, str(path))
        if plan.same_as is not None:
            raise SeamwrightError.of(
                "plan.same-as", "a plan that is shared must not point to another", file=str(path)
            )
    return plan, str(path), hashlib.sha256(raw).hexdigest()


def named_plan(
    plan: str, pipeline: Path | None, limits: Limits | None = None
) -> tuple[SeamPlan, str, str]:
    """The plan that a pipeline names: relative to the pipeline's own file."""
    path = Path(plan)
    if not path.is_absolute() and pipeline is not None:
        path = pipeline.parent / path
    return read_plan(path, limits)


def planned(
    pattern: Pattern,
    *,
    plan: str | Path | SeamPlan | None = None,
    file: Path | None = None,
    limits: Limits | None = None,
) -> Planned:
    """The pattern with the plan that counts laid on it.

    plan  a path, or a plan that was loaded; "auto": the sure seams of a plan proposed on the spot;
          "none": the pattern as it is; None looks for `<stem>.plan.toml` beside `file`, and
          leaves the pattern with the seams that it brought where there is none

    Raises SeamwrightError for a plan that cannot be read or does not fit the pattern.
    """
    from seamwright.plan import apply_plan  # noqa: PLC0415

    name, digest = None, ""
    if plan == NO_PLAN:
        return Planned(pattern=pattern)
    if plan == AUTO:
        return _proposed(pattern)
    if plan is None:
        plan = plan_beside(file) if file is not None else None
        if plan is None:
            return Planned(pattern=pattern)
    if isinstance(plan, str | Path):
        plan, name, digest = read_plan(plan, limits)
    changed, findings = apply_plan(pattern, plan, file=name)
    return Planned(pattern=changed, findings=findings, name=name, digest=digest)


def _proposed(pattern: Pattern) -> Planned:
    """The sure seams that the shapes speak for; the name of each says that nobody confirmed it."""
    from seamwright.plan.proposal import sure_seams  # noqa: PLC0415

    proposal, named = sure_seams(pattern)
    levels = [str(one.level) for one in proposal.seams]
    share = {one.seam.name: one.confidence for one in proposal.seams}
    seams = tuple(
        replace(s, name=f"{s.name} (proposed, {min(99, round(100 * share[s.name]))} in 100)")
        for s in named.seams
    )
    others = len(levels) - levels.count("sure")
    said = Finding(
        code="plan.proposed",
        severity=Severity.NOTE,
        message=(
            f"the plan was proposed from the shapes and nobody confirmed it: {len(seams)} sure "
            f"seams are used, {others} that are less sure are not"
        ),
        hint="`seamwright plan FILE` writes the whole proposal with a picture",
    )
    return Planned(pattern=named.but(seams=seams), findings=(said,), name=PROPOSED)
