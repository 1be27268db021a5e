"""Header variables, read from the raw tags (a library would put its own defaults in)."""

from __future__ import annotations

from dataclasses import dataclass, field

from .raw.frame import Frame


@dataclass(slots=True)
class Header:
    """`$NAME` -> its values as (group code, bytes), only those that the file itself holds."""

    variables: dict[str, list[tuple[int, bytes]]] = field(default_factory=dict)

    def text(self, name: str) -> str:
        """The first value as ASCII text, "" where absent."""
        found = self.variables.get(name)
        return found[0][1].strip().decode("ascii", "replace") if found else ""

    def whole(self, name: str) -> int | None:
        """The first value as a whole number, None where absent or no number."""
        try:
            return int(float(self.text(name)))
        except (ValueError, OverflowError):
            return None


def read_header(frame: Frame) -> Header:
    """All variables of the section HEADER."""
    out = Header()
    tags = frame.tags
    for section in frame.named("HEADER"):
        if section.first < 1:
            continue
        begin = int(frame.starts[section.first - 1])
        end = int(frame.starts[section.first])
        name = ""
        for tag in range(begin, end):
            code = int(tags.codes[tag])
            if code == 9:
                name = tags.values[tag].strip().decode("ascii", "replace").upper()
                out.variables[name] = []
            elif name and code != 999:
                out.variables[name].append((code, tags.values[tag]))
    return out
