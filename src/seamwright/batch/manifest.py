"""A manifest pairs files with plans, pipelines and names, in TOML or in CSV.

    plan = "house.plan.toml"              # for every style that has none of its own
    pipeline = "true-all-seams.toml"

    [[style]]
    file = "spring/blouse.dxf"            # or a pattern of names: "spring/*.dxf"
    plan = "plans/blouse.plan.toml"
    name = "Spring blouse"

CSV has a first row with `file` and any of `plan`, `pipeline`, `name`, parted by commas, semicolons
or tabs. Paths are relative to the manifest's own folder; a pipeline that ships goes by its name.
"""

from __future__ import annotations

import csv
import glob
import os
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any, Final

from seamwright.findings import Finding, SeamwrightError, did_you_mean
from seamwright.pipelines import shipped
from seamwright.plugins.context import Limits
from seamwright.plugins.inputs import bounded_bytes

from .sources import Gathered, Style, Walker, once, whole_path

_KEYS: Final = ("file", "plan", "pipeline", "name")
_LIMIT: Final = Limits(bytes=64 * 1024 * 1024)


def read_manifest(source: str) -> Gathered:
    """The styles of a manifest. Raises SeamwrightError with every fault and its line."""
    path = Path(source)
    raw = bounded_bytes(path, _LIMIT)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _fault(
            source, f"not UTF-8 text: byte {error.start} cannot be read", "save it as UTF-8"
        ) from None
    rows = list(_csv(text, source) if path.suffix.lower() != ".toml" else _toml(text, source))
    if not rows:
        raise SeamwrightError.of(
            "batch.empty", "the manifest names no style", file=source, hint="add one: [[style]]"
        )
    styles: list[Style] = []
    faults: list[Finding] = []
    for line, row in rows:
        try:
            styles += _styles(row, path.parent)
        except SeamwrightError as error:
            faults.append(error.finding.but(file=source, line=line))
        except (OSError, ValueError) as error:  # a name that no file can have
            hint = "write the name as the file has it"
            faults.append(_fault(source, f"a name cannot be a file's: {error}", hint, line).finding)
    if faults:
        raise SeamwrightError(faults[0], others=faults[1:])
    kept, notes = once(styles)
    seen: dict[str, Style] = {}
    for style in kept:
        if seen.setdefault(style.name, style) is not style:
            raise _fault(
                source,
                f'two styles are called "{style.name}"',
                "give each a name of its own: name = ...",
            )
    root = Path(os.path.commonpath([style.root for style in kept]))
    return Gathered(
        styles=tuple(replace(style, root=root) for style in kept), findings=tuple(notes)
    )


def _styles(row: Mapping[str, str], folder: Path) -> Iterator[Style]:
    name = row["file"]
    at = name if Path(name).is_absolute() else str(folder / name)
    walker = Walker(set(), None)
    found = list(walker.of(at)) if glob.has_magic(at) or not Path(at).is_dir() else []
    if not found:
        raise SeamwrightError.of(
            "batch.empty",
            f'"{name}" is a folder' if Path(at).is_dir() else f'no file is called "{name}"',
            hint="name its files, or write a pattern of names: folder/*.dxf",
        )
    if row.get("name") and len(found) > 1:
        raise SeamwrightError.of(
            "batch.manifest",
            f'one name for {len(found)} files: "{row["name"]}"',
            hint="leave the name out, or name the files one by one",
        )
    for style in found:
        yield replace(
            style,
            name=row.get("name") or style.name,
            plan=_beside(row.get("plan"), folder),
            pipeline=_pipeline(row.get("pipeline"), folder),
        )


def _beside(name: str | None, folder: Path) -> Path | None:
    return whole_path(folder / name) if name else None


def _pipeline(name: str | None, folder: Path) -> Path | None:
    """A pipeline's path, or the bare name of one that ships."""
    path = _beside(name, folder)
    return Path(name) if path is not None and not path.exists() and name in shipped() else path


def _toml(text: str, source: str) -> Iterator[tuple[int | None, dict[str, str]]]:
    try:
        found = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _fault(source, f"not TOML: {error}", "mend it, or write it as CSV") from None
    common = {k: v for k, v in found.items() if k != "style"}
    _known(common, ("plan", "pipeline"), source, None, also=("style",))
    rows = found.get("style", [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise _fault(source, '"style" is not a list of tables', "write [[style]] before each")
    starts = [i for i, line in enumerate(text.splitlines(), 1) if line.strip() == "[[style]]"]
    for i, row in enumerate(rows):
        line = starts[i] if len(starts) == len(rows) else None
        _known(row, _KEYS, source, line)
        _whole(row, source, line)
        yield line, {**common, **row}


def _csv(text: str, source: str) -> Iterator[tuple[int | None, dict[str, str]]]:
    lines = text.splitlines()
    first = lines[0] if lines else ""
    delimiter = max((",", ";", "\t"), key=first.count)
    reader = csv.DictReader(lines, delimiter=delimiter, skipinitialspace=True)
    names = [name.strip() for name in reader.fieldnames or ()]
    _known(dict.fromkeys(names, ""), _KEYS, source, 1)
    reader.fieldnames = names
    for row in reader:
        line = reader.line_num
        if None in row or None in row.values():
            raise _fault(source, "a row with more or fewer cells than the first", "", line)
        cells = {k: v.strip() for k, v in row.items() if v.strip()}
        if cells:
            _whole(cells, source, line)
            yield line, cells


def _known(
    row: Mapping[str, Any],
    keys: tuple[str, ...],
    source: str,
    line: int | None,
    also: tuple[str, ...] = (),
) -> None:
    for key, value in row.items():
        if key not in keys:
            hint = did_you_mean(key, (*keys, *also))
            raise _fault(source, f'there is no "{key}" in a manifest', hint, line)
        if not isinstance(value, str):
            raise _fault(source, f'"{key}" is not a text', f'write {key} = "..."', line)


def _whole(row: Mapping[str, Any], source: str, line: int | None) -> None:
    if not row.get("file"):
        raise _fault(source, "a style without a file", 'write file = "..."', line)


def _fault(source: str, message: str, hint: str, line: int | None = None) -> SeamwrightError:
    return SeamwrightError.of("batch.manifest", message, file=source, hint=hint, line=line)
