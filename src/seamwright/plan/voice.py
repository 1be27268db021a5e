"""How laying a plan on a pattern speaks: refusals with the plan's line, notes in passing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from seamwright.findings import Finding, SeamwrightError, Severity, did_you_mean

from .kinds import SeamPlan
from .names import look_up

Where = Sequence["str | int"]


class Voice:
    """Gathers what was noticed while a plan is laid on a pattern with pieces of these names."""

    def __init__(self, plan: SeamPlan, file: str | None, pieces: Sequence[str]) -> None:
        self.plan = plan
        self.file = plan.file or file
        self.pieces = list(pieces)
        self.findings: list[Finding] = []

    def refuse(
        self, code: str, message: str, place: Where, hint: str | None, **fields: Any
    ) -> SeamwrightError:
        """The error for an entry of the plan, with its line."""
        error = SeamwrightError.of(
            code, message, file=self.file, line=self.plan.line(*place), hint=hint, **fields
        )
        error.others = tuple(self.findings)
        return error

    def note(self, code: str, message: str, place: Where, **fields: Any) -> None:
        """Something worth saying about an entry of the plan; the same thing is said once."""
        finding = Finding(
            code=code,
            severity=Severity.NOTE,
            message=message,
            file=self.file,
            line=self.plan.line(*place),
            **fields,
        )
        if finding.message not in {f.message for f in self.findings}:
            self.findings.append(finding)

    def piece(self, written: str, place: Where, **fields: Any) -> str:
        """The pattern's piece that the plan means by a name."""
        found, exact = look_up(written, self.pieces)
        if found is None:
            raise self.refuse(
                "plan.piece",
                f'there is no piece "{written}" in the pattern',
                place,
                did_you_mean(written, self.pieces),
                **fields,
            )
        if not exact:
            self.note(
                "plan.spelling",
                f'the plan\'s piece "{written}" is taken to be "{found}"',
                place,
                piece=found,
            )
        return found
