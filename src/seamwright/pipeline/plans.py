"""Which seam plan counts: the one named, else the one beside the pattern, else the one inside."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from seamwright.findings import Finding
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import bounded_bytes, plan_beside

if TYPE_CHECKING:
    from seamwright.model import Pattern
    from seamwright.plan import SeamPlan

_LIMIT = Limits(bytes=16 * 1024 * 1024)


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """A pattern with its plan laid on. name: the plan's file; None for the pattern's own."""

    pattern: Pattern
    findings: tuple[Finding, ...] = ()
    name: str | None = None
    digest: str = ""


def read_plan(path: str | Path) -> tuple[SeamPlan, str, str]:
    """The plan in a file, its display name and the SHA-256 of its bytes."""
    from seamwright.plan import load_plan  # noqa: PLC0415 - numpy comes with it

    raw = bounded_bytes(Path(path), _LIMIT)
    return load_plan(raw, str(path)), str(path), hashlib.sha256(raw).hexdigest()


def named_plan(plan: str, pipeline: Path | None) -> tuple[SeamPlan, str, str]:
    """The plan that a pipeline names: relative to the pipeline's own file."""
    path = Path(plan)
    if not path.is_absolute() and pipeline is not None:
        path = pipeline.parent / path
    return read_plan(path)


def planned(
    pattern: Pattern, *, plan: str | Path | SeamPlan | None = None, file: Path | None = None
) -> Planned:
    """The pattern with the plan that counts laid on it.

    plan  a path, or a plan that was loaded; None looks for `<stem>.plan.toml` beside `file`, and
          leaves the pattern with the seams that it brought where there is none

    Raises SeamwrightError for a plan that cannot be read or does not fit the pattern.
    """
    from seamwright.plan import apply_plan  # noqa: PLC0415

    name, digest = None, ""
    if plan is None:
        plan = plan_beside(file) if file is not None else None
        if plan is None:
            return Planned(pattern=pattern)
    if isinstance(plan, str | Path):
        plan, name, digest = read_plan(plan)
    changed, findings = apply_plan(pattern, plan, file=name)
    return Planned(pattern=changed, findings=findings, name=name, digest=digest)
