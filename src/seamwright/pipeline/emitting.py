"""The built-in steps `write` and `report`: one file, or one for each size or piece."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding
from seamwright.plugins.context import UnitName
from seamwright.plugins.filenames import safe_names
from seamwright.plugins.record import Record
from seamwright.plugins.registry import Registry
from seamwright.plugins.writing import write, write_report

from .outputs import filled
from .prepare import PreparedStep
from .selection import Selection

if TYPE_CHECKING:
    from seamwright.model import Pattern


@dataclass(frozen=True, slots=True, kw_only=True)
class Emitted:
    """paths: where the files are; manifest: for each file its name below the output folder, and
    the names that it stands for ("file", "size", "piece")."""

    paths: tuple[Path, ...]
    findings: tuple[Finding, ...]
    manifest: tuple[dict[str, str], ...]


def emit(
    step: PreparedStep,
    pattern: Pattern,
    record: Record,
    *,
    out: Path,
    stem: str,
    units: UnitName,
    registry: Registry,
    guarded: Iterable[Path],
    taken: Iterable[Path],
    shown: Path | None = None,
) -> Emitted:
    """Writes what a `write` or `report` step asks for.

    guarded  inputs, never written over; taken: files of this run, not written over either
    shown    the folder by whose name findings call the files, where they are moved there after
    """
    kept_off = (*guarded, *taken)
    paths: list[Path] = []
    findings: list[Finding] = []
    manifest: list[dict[str, str]] = []
    for part, names in _parts(step, pattern):
        values = {"stem": stem, "name": pattern.name, **_safe(names, pattern)}
        path = out / filled(step.own.to, values)
        path.parent.mkdir(parents=True, exist_ok=True)
        common: dict[str, Any] = {"units": units, "overwrite": step.own.overwrite}
        if step.use.name == "report":
            done = write_report(record, path, step.entry, step.options, inputs=kept_off, **common)
        else:
            done = write(
                part,
                path,
                options=step.options,
                format=step.entry.full,
                registry=registry,
                strict=step.own.strict,
                accepted=step.accepted,
                read_back=step.own.read_back,
                inputs=kept_off,
                where=step.where,
                **common,
            )
        paths += done.paths
        findings += done.findings
        manifest += [{"file": p.relative_to(out).as_posix(), **names} for p in done.paths]
    told = findings if shown is None else [_called(f, out, shown) for f in findings]
    return Emitted(paths=tuple(paths), findings=tuple(told), manifest=tuple(manifest))


def _called(finding: Finding, out: Path, shown: Path) -> Finding:
    """The finding with a file below `out` called as it will stand below `shown`."""
    if finding.file is None or not Path(finding.file).is_relative_to(out):
        return finding
    return finding.but(file=str(shown / Path(finding.file).relative_to(out)))


def _parts(step: PreparedStep, pattern: Pattern) -> Iterator[tuple[Pattern, dict[str, str]]]:
    """The pattern, or its sizes and pieces one by one, as the template asks."""
    pieces = [p.name for p in pattern.pieces] if "piece" in step.parts else [None]
    sizes = list(pattern.sizes) if "size" in step.parts else [None]
    for piece in pieces:
        for size in sizes:
            names = {"piece": piece, "size": size}
            part = _part(pattern, piece, size)
            if part.pieces or (piece is None and size is None):
                yield part, {k: v for k, v in names.items() if v is not None}


def _part(pattern: Pattern, piece: str | None, size: str | None) -> Pattern:
    if piece is None and size is None:
        return pattern
    pieces = frozenset([piece]) if piece is not None else frozenset(p.name for p in pattern.pieces)
    sizes = frozenset([size]) if size is not None else frozenset(pattern.sizes)
    shown = Selection(pieces, sizes).view(pattern)
    if piece is None:
        return shown
    # A seam needs both its pieces: what is sewn to another piece stays with the whole pattern.
    seams = tuple(s for s in shown.seams if set(s.pieces) <= pieces)
    only = tuple(p for p in shown.pieces if p.name in pieces)
    return shown.but(pieces=only, seams=seams)


def _safe(names: dict[str, str], pattern: Pattern) -> dict[str, str]:
    """Names made safe and told apart from those of the other pieces and sizes."""
    out = {}
    if "piece" in names:
        out["piece"] = safe_names([p.name for p in pattern.pieces])[names["piece"]]
    if "size" in names:
        out["size"] = safe_names(pattern.sizes)[names["size"]]
    return out
