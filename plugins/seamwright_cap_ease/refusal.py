"""Why a size is left as it is."""

from __future__ import annotations

from typing import Any

from seamwright.plugins.api import Finding, Severity


class Refusal(Exception):
    """Nothing can be done in one size. Carries what the finding needs besides piece and size."""

    def __init__(self, code: str, message: str, hint: str | None = None, **fields: Any) -> None:
        super().__init__(message)
        self.code, self.message, self.hint, self.fields = code, message, hint, fields

    def finding(self, *, piece: str, size: str | None) -> Finding:
        """As an error finding."""
        where = f"size {size}: " if size else ""
        return Finding(
            code=self.code,
            severity=Severity.ERROR,
            message=f"{where}{self.message}",
            piece=piece,
            size=size,
            hint=self.hint,
            **self.fields,
        )
