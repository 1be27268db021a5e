"""Which files a folder of styles holds."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from seamwright.findings import SeamwrightError
from seamwright.plugins.registry import Registry


def patterns_in(names: Sequence[str], registry: Registry) -> list[str]:
    """The files named, and of a folder every file in it whose suffix a reader has, by name; plans
    and their pictures are none. Raises SeamwrightError for a folder without any."""
    suffixes = {s for entry in registry.formats for s in entry.thing.suffixes if entry.thing.reader}
    out: list[str] = []
    for name in names:
        path = Path(name)
        if not path.is_dir():
            out.append(name)
            continue
        found = sorted(
            str(p) for p in path.iterdir()
            if p.is_file() and any(p.name.lower().endswith(s) for s in suffixes)
            and not p.name.lower().endswith((".plan.toml", ".plan.svg"))
        )  # fmt: skip
        if not found:
            raise SeamwrightError.of(
                "file.missing",
                f'the folder "{path}" holds no pattern',
                file=str(path),
                hint=f"patterns end in {', '.join(sorted(suffixes))}",
            )
        out += found
    return list(dict.fromkeys(out))
