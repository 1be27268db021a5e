"""Writing the demonstration's files and running its pipeline on two of them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, Any, Final

from seamwright.demo.blouse import blouse
from seamwright.demo.body import base_size
from seamwright.demo.by_hand import by_hand
from seamwright.findings import Finding, SeamwrightError
from seamwright.pipeline import Pipeline
from seamwright.pipeline.plans import planned
from seamwright.pipeline.running import run
from seamwright.plugins.reading import read
from seamwright.plugins.record import Record
from seamwright.plugins.registry import Registry
from seamwright.plugins.sink import put
from seamwright.plugins.writing import write

if TYPE_CHECKING:
    from seamwright.pipeline.prepare import Prepared

SEVEN: Final = "chorus-blouse"
ONE: Final = "chorus-blouse-one-size"
BY_HAND: Final = "chorus-blouse-by-hand"
PIPELINE: Final = "ease-sleeve.toml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ran:
    """One drawing's run. stem: of its files; record: what was done."""

    stem: str
    record: Record


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """What was made, not yet on disk. files: name -> bytes; runs: over the tidy drawing in seven
    sizes, and over the one made by hand."""

    units: str
    files: dict[str, bytes]
    runs: tuple[Ran, ...]


def make_demo(*, registry: Registry, units: Any = "in") -> Made:
    """Drafts the drawings and runs the pipeline on two of them, in a folder that is gone after."""
    with TemporaryDirectory(prefix="seamwright-demo-") as name:
        work = Path(name)
        _write_inputs(work, registry)
        pipeline = Pipeline.load(work / PIPELINE)
        prepared = pipeline.prepare(registry=registry, units=units)
        runs = tuple(
            Ran(stem=stem, record=_run(work, stem, prepared, registry)) for stem in (SEVEN, BY_HAND)
        )
        found = {path.name: path.read_bytes() for path in sorted(work.iterdir())}
    return Made(units=units, files=found, runs=runs)


def make_folder(folder: Path) -> None:
    """Makes the folder where it is not there. Raises SeamwrightError (file.no-folder)."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise SeamwrightError.of(
            "file.no-folder",
            f"the folder cannot be made: {error.strerror}",
            file=str(folder),
            hint="name a folder that may be written to",
        ) from error


def put_demo(made: Made, folder: Path, *, overwrite: bool = False) -> None:
    """Puts all files into the folder or none. Files of these names that say something else are
    somebody's work: SeamwrightError (demo.files-differ) unless `overwrite`."""
    targets = {folder / name: data for name, data in made.files.items()}
    other = [
        path.name
        for path, data in targets.items()
        if path.exists() and (not path.is_file() or path.read_bytes() != data)
    ]
    if other and not overwrite:
        raise SeamwrightError.of(
            "demo.files-differ",
            f"files of the demonstration's names are in the folder already and are not as it "
            f"would write them: {', '.join(other[:4])}{' ...' if len(other) > 4 else ''}",
            file=str(folder),
            hint="name another folder, or --overwrite to replace them",
        )
    put(targets, overwrite=True)


def _write_inputs(work: Path, registry: Registry) -> None:
    data = files("seamwright.demo").joinpath("data")
    plan = data.joinpath(f"{SEVEN}.plan.toml").read_bytes()
    write(blouse(), work / f"{SEVEN}.svg", registry=registry)
    write(blouse([base_size()]), work / f"{ONE}.svg", registry=registry)
    (work / f"{BY_HAND}.svg").write_bytes(by_hand())
    for stem in (SEVEN, ONE, BY_HAND):
        (work / f"{stem}.plan.toml").write_bytes(plan)
    (work / PIPELINE).write_bytes(data.joinpath(PIPELINE).read_bytes())


def _run(work: Path, stem: str, prepared: Prepared, registry: Registry) -> Record:
    """The pipeline over one drawing, as `seamwright run` does it; files go by their bare names,
    so that what is written does not depend on where it is written."""
    drawing = work / f"{stem}.svg"
    loaded = read(drawing, registry=registry, units=prepared.units)
    laid = planned(loaded.pattern, plan=work / f"{stem}.plan.toml")
    _, record = run(
        prepared,
        laid.pattern,
        out=work,
        stem=stem,
        read_findings=_bare((*loaded.findings, *laid.findings)),
        inputs={drawing.name: loaded.source.digest, f"{stem}.plan.toml": laid.digest},
        guarded=[drawing],
        file=drawing.name,
    )
    return record


def _bare(findings: Iterable[Finding]) -> list[Finding]:
    return [f if f.file is None else f.but(file=Path(f.file).name) for f in findings]
