"""One finding, used everywhere: what was seen, where, how much, against which limit, what to do.

A finding is data, not prose: tests and scripts go by `code` and by the numbers. `message` is a
headline that stands alone, in the user's units; numbers in the fields are always millimetres (or
degrees, for a code that says so).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any, Final


class Severity(StrEnum):
    """How much a finding matters. An error means that the pieces will not go together (or the
    file could not be read whole); a warning that somebody should look; a note is for the record."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"

    @property
    def rank(self) -> int:
        """0 for a note, 1 for a warning, 2 for an error."""
        return _RANKS[self]

    def reaches(self, other: Severity) -> bool:
        """Whether this severity is at or above `other`."""
        return self.rank >= other.rank


_RANKS: Final[Mapping[Severity, int]] = {
    Severity.NOTE: 0,
    Severity.WARNING: 1,
    Severity.ERROR: 2,
}


_LONGEST: Final = 1200
"""Signs of a message or a hint."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that was found.

    code      short words with a dot, naming the fault: "seam.over", "scale.unknown"
    severity  error, warning or note
    message   one sentence in the user's units, without a path
    file      display name of the file, or None
    piece, size, seam, edge   names, where they apply
    x, y      place in mm, y up, where there is one
    line      line of a text file (1-based), where there is one
    measured, limit   the figure and what it was held against, mm unless the code says degrees
    hint      what to do about it
    rule      the house rule behind it and where it stands
    repaired  True when the reader mended what it reports
    plugin    full name of the plugin that said so
    related   further places, as (x, y) in mm
    """

    code: str
    severity: Severity
    message: str
    file: str | None = None
    piece: str | None = None
    size: str | None = None
    seam: str | None = None
    edge: str | None = None
    x: float | None = None
    y: float | None = None
    line: int | None = None
    measured: float | None = None
    limit: float | None = None
    hint: str | None = None
    rule: str | None = None
    repaired: bool = False
    plugin: str | None = None
    related: tuple[tuple[float, float], ...] = field(default=())

    def __post_init__(self) -> None:
        """A text from a damaged file, quoted in full, would drown what is said of it."""
        for name in ("message", "hint"):
            text = getattr(self, name)
            if text is not None and len(text) > _LONGEST:
                short = f"{text[: _LONGEST - 300]} ... {text[-200:]}"
                object.__setattr__(self, name, short)

    @property
    def fingerprint(self) -> str:
        """Identity for baselines: what and where, without the measured figures."""
        parts = (self.code, self.piece, self.seam, self.edge, self.size)
        return "|".join("" if p is None else p for p in parts)

    def but(self, **changes: Any) -> Finding:
        """The same finding with some fields changed."""
        return replace(self, **changes)

    def to_json(self) -> dict[str, Any]:
        """The finding as the JSON documents of the command line hold it."""
        out: dict[str, Any] = {
            name: getattr(self, name)
            for name in (
                "code", "severity", "message", "file", "piece", "size", "seam", "edge",
                "x", "y", "measured", "limit", "hint",
            )
        }  # fmt: skip
        out["severity"] = self.severity.value
        for name in ("line", "rule", "plugin"):
            value = getattr(self, name)
            if value is not None:
                out[name] = value
        if self.repaired:
            out["repaired"] = True
        if self.related:
            out["related"] = [list(place) for place in self.related]
        return out


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Worst first; then by piece, seam and size, otherwise as they came."""
    return sorted(
        findings,
        key=lambda f: (-f.severity.rank, f.piece or "", f.seam or "", f.size or ""),
    )


def worst(findings: Iterable[Finding]) -> Severity | None:
    """The highest severity among `findings`, None when there are none."""
    return max((f.severity for f in findings), key=lambda s: s.rank, default=None)


class SeamwrightError(Exception):
    """The work could not be done. Carries one finding (always of severity error) that says where,
    what was expected, what was found and what to do; and any findings gathered before it."""

    def __init__(self, finding: Finding, *, others: Iterable[Finding] = ()) -> None:
        self.finding = finding
        self.others: tuple[Finding, ...] = tuple(others)
        super().__init__(finding.message)

    def __reduce__(self) -> tuple[Any, ...]:
        # Worker processes send errors home by pickle; the default would lose `others`.
        return (_rebuilt, (type(self), self.finding, self.others))

    @classmethod
    def of(cls, code: str, message: str, **fields: Any) -> SeamwrightError:
        """The error for a code and a message; `fields` as in `Finding`."""
        return cls(Finding(code=code, severity=Severity.ERROR, message=message, **fields))


def _rebuilt(
    kind: type[SeamwrightError], finding: Finding, others: tuple[Finding, ...]
) -> SeamwrightError:
    return kind(finding, others=others)


def nearest_names(name: str, valid: Iterable[str], *, most: int = 3) -> list[str]:
    """The valid names that look most like `name`, best first (without regard to case)."""
    from difflib import get_close_matches  # noqa: PLC0415 - only errors need it

    by_lower: dict[str, str] = {}
    for candidate in valid:
        by_lower.setdefault(candidate.casefold(), candidate)
    near = get_close_matches(name.casefold(), by_lower, n=most, cutoff=0.5)
    return [by_lower[n] for n in near]


def did_you_mean(name: str, valid: Iterable[str]) -> str:
    """A remedy: the nearest valid names, or, with none near, the whole (short) list."""
    names = list(valid)
    near = nearest_names(name, names)
    if near:
        return "did you mean " + " or ".join(f'"{n}"' for n in near) + "?"
    if not names:
        return "there are none to choose from"
    shown = ", ".join(f'"{n}"' for n in names[:12])
    more = f" and {len(names) - 12} more" if len(names) > 12 else ""
    return f"valid: {shown}{more}"
