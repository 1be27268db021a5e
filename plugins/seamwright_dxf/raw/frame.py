"""The frame of a DXF file: records, sections, and where the file ends.

Words: a *record* begins with group 0 and runs to the next; a *section* runs from SECTION to
ENDSEC. Records of the sections BLOCKS and ENTITIES are drawing records, all others structure.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import Finding, SeamwrightError, Severity

from .tags import COMMENT, Tags, comments

IntArray = NDArray[np.int64]
DRAWN = ("BLOCKS", "ENTITIES")


@dataclass(frozen=True, slots=True)
class Section:
    """Records first..last (last excluded), without SECTION and ENDSEC themselves."""

    name: str
    first: int
    last: int
    closed: bool


@dataclass(slots=True)
class Frame:
    """Records and sections of a file.

    starts   tag number of each record (R + 1,), the last entry being the end
    types    record types, upper case (R,), as numbers into `type_names`
    cut      the tag at which the file breaks off, or None
    """

    tags: Tags
    starts: IntArray
    types: NDArray[np.int32]
    type_names: list[str]
    sections: list[Section]
    findings: list[Finding] = field(default_factory=list)
    cut: int | None = None
    comments: tuple[str, ...] = ()

    def type_of(self, record: int) -> str:
        """The type of a record, "" for none."""
        return self.type_names[int(self.types[record])]

    def named(self, name: str) -> list[Section]:
        """Sections of that name."""
        return [s for s in self.sections if s.name == name]

    def value(self, record: int, code: int) -> bytes | None:
        """The first value of `code` in a record."""
        for tag in range(int(self.starts[record]), int(self.starts[record + 1])):
            if self.tags.codes[tag] == code:
                return self.tags.values[tag]
        return None


def read_frame(tags: Tags, *, file: str | None, to_the_cut: bool) -> Frame:
    """Records and sections; refuses a file that is cut off unless `to_the_cut`."""
    begins = np.flatnonzero(tags.codes == 0)
    names: dict[str, int] = {}
    memo: dict[bytes, int] = {}
    raw = [tags.values[i] for i in begins.tolist()]
    for value in set(raw):
        name = value.strip().upper().decode("ascii", "replace")
        memo[value] = names.setdefault(name, len(names))
    types = np.fromiter(map(memo.__getitem__, raw), dtype=np.int32, count=len(raw))
    frame = Frame(
        tags=tags,
        starts=np.append(begins, tags.n),
        types=types,
        type_names=list(names),
        sections=[],
        comments=tuple(text.decode("utf-8", "replace").strip() for _, text in comments(tags))
        if (tags.codes == COMMENT).any()
        else (),
    )
    if "SECTION" not in names:
        raise SeamwrightError.of(
            "dxf.not-dxf",
            "this is not a DXF file: it has no SECTION",
            file=file,
            line=1,
            hint="look at what the file really is; its suffix may be wrong",
        )
    end = _end_of_file(frame, names, file)
    _find_sections(frame, names, end, file)
    _judge_end(frame, names, end, file, to_the_cut)
    _note_repairs(frame, file)
    return frame


def _end_of_file(frame: Frame, names: dict[str, int], file: str | None) -> int | None:
    """The EOF record, its followers cut away."""
    if "EOF" not in names:
        return None
    end = int(np.flatnonzero(frame.types == names["EOF"])[0])
    tags = frame.tags
    after = 2 * (tags.n - int(frame.starts[end]) - 1) + tags.after + (tags.rest is not None)
    if after > 0:
        frame.findings.append(
            Finding(
                code="dxf.after-eof",
                severity=Severity.NOTE,
                message=f"{after} lines stand after the end of the file; they are not read",
                file=file,
                line=tags.line(int(frame.starts[end])),
            )
        )
    frame.types = frame.types[:end]
    frame.starts = frame.starts[: end + 1]
    return end


def _find_sections(frame: Frame, names: dict[str, int], end: int | None, file: str | None) -> None:
    section, endsec = names["SECTION"], names.get("ENDSEC", -1)
    marks = np.flatnonzero((frame.types == section) | (frame.types == endsec)).tolist()
    last = len(frame.types)
    for i, mark in enumerate(marks):
        if frame.types[mark] != section:
            continue
        after = marks[i + 1] if i + 1 < len(marks) else last
        closed = after < last and frame.types[after] == endsec
        name = (frame.value(mark, 2) or b"").strip().upper().decode("ascii", "replace")
        frame.sections.append(Section(name, mark + 1, after, closed))
        if not closed and (after < last or end is not None):
            frame.findings.append(
                Finding(
                    code="dxf.section-open",
                    severity=Severity.WARNING,
                    message=f"section {name or '(no name)'} has no ENDSEC; it is taken to end "
                    "where the next begins",
                    file=file,
                    line=frame.tags.line(int(frame.starts[after])),
                    repaired=True,
                    hint="something may be missing here: compare with the sender's drawing",
                )
            )


def _judge_end(
    frame: Frame, names: dict[str, int], end: int | None, file: str | None, to_the_cut: bool
) -> None:
    """A file without EOF: complete but for that line, or cut off."""
    if end is not None:
        return
    tags, rest = frame.tags, frame.tags.rest
    last = len(frame.types) - 1
    half_eof = rest is None or rest[1] in ("0", "")
    if last >= 0 and frame.type_of(last) in ("E", "EO"):
        half_eof, last = True, last - 1
    complete = (
        half_eof
        and last >= 0
        and frame.type_of(last) == "ENDSEC"
        and any(s.name == "ENTITIES" and s.closed for s in frame.sections)
    )
    if complete:
        frame.types = frame.types[: last + 1]
        frame.starts = frame.starts[: last + 2]
        frame.findings.append(
            Finding(
                code="dxf.no-eof",
                severity=Severity.WARNING,
                message="the file lacks its EOF line; everything before it is complete",
                file=file,
                line=tags.lines or None,
                repaired=True,
            )
        )
        return
    frame.cut = tags.n
    where = frame.sections[-1].name if frame.sections and not frame.sections[-1].closed else ""
    seen = sum(_entities(frame, s) for s in frame.sections if s.name in DRAWN)
    message = (
        f"the file is cut off {f'in section {where}' if where else 'between sections'}: "
        f"{seen} entities stand before the cut, and nobody can know how many came after"
    )
    place = None if tags.binary else (rest[0] if rest else tags.lines)
    if not to_the_cut:
        raise SeamwrightError.of(
            "dxf.truncated",
            message,
            file=file,
            line=place,
            hint="ask for the file again; or read what is left with the option damaged = "
            '"read to the cut"',
        )
    frame.findings.append(
        Finding(
            code="dxf.truncated",
            severity=Severity.ERROR,
            message=message,
            file=file,
            line=place,
            hint="what follows holds for the part before the cut only",
        )
    )


def _entities(frame: Frame, section: Section) -> int:
    parts = {"VERTEX", "SEQEND", "BLOCK", "ENDBLK", "ATTRIB"}
    skip = [i for i, name in enumerate(frame.type_names) if name in parts]
    types = frame.types[section.first : section.last]
    return int((~np.isin(types, skip)).sum())


def _note_repairs(frame: Frame, file: str | None) -> None:
    tags = frame.tags
    empty = len(tags.skipped) - len(tags.stray)
    if empty:
        frame.findings.append(
            Finding(
                code="dxf.empty-line",
                severity=Severity.NOTE,
                message=f"{empty} empty lines stand where a group code should; they are skipped",
                file=file,
                line=tags.line(tags.skipped[0][0]),
                repaired=True,
            )
        )
    for line, text in tags.stray[:20]:
        frame.findings.append(
            Finding(
                code="dxf.stray-line",
                severity=Severity.WARNING,
                message=f'line {line} ("{text}") belongs to no tag; it is skipped',
                file=file,
                line=line,
                repaired=True,
                hint="look at the entity that stands there",
            )
        )
    if len(tags.stray) > 20:
        frame.findings.append(
            Finding(
                code="dxf.stray-line",
                severity=Severity.WARNING,
                message=f"{len(tags.stray) - 20} more stray lines are skipped",
                file=file,
                repaired=True,
            )
        )
