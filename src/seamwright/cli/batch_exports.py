"""Tables, pages and build-server documents of a batch, as the command line asks for them."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path

from seamwright.batch.engine import Batch
from seamwright.batch.results.places import check_places

from .batch_options import BatchOptions


def prepare_exports(options: BatchOptions, inputs: Sequence[Path], *, overwrite: bool) -> None:
    """Whether all that is asked for can be written; before any work is done. Raises
    SeamwrightError."""
    check_places(options.tables, options.junit, options.summary, inputs=inputs, overwrite=overwrite)


def export(
    batch: Batch, options: BatchOptions, *, units: str, fail_on: str, out: Path | None = None
) -> None:
    """Writes what is asked for, of what was done so far where the batch was stopped. out: the
    output folder of a run."""
    if options.tables:
        from seamwright.batch.results.tables import write_table  # noqa: PLC0415 - when asked

        for name in options.tables:
            write_table(batch.results, Path(name))
    if options.junit is not None:
        from seamwright.batch.results.junit import write_junit  # noqa: PLC0415 - when asked

        write_junit(batch.results, batch.told, Path(options.junit), fail_on=fail_on)
    if options.summary is not None:
        from seamwright.batch.results.page import write_summary  # noqa: PLC0415 - when asked

        folder = Path(options.summary)
        write_summary(
            batch.results,
            batch.told,
            folder,
            units=units,
            total=len(batch.jobs),
            reports={} if out is None else _reports(batch, folder, out),
        )


def _reports(batch: Batch, folder: Path, out: Path) -> dict[str, list[str]]:
    """Style -> the pages that its pipeline wrote, as paths from the summary."""
    found: dict[str, list[str]] = {}
    for job, head in zip(batch.jobs, batch.heads, strict=True):
        if head is None or not head.done:
            continue
        for output in head.outputs:
            if output.file.lower().endswith((".html", ".htm")):
                path = out / job.folder / output.file
                link = Path(os.path.relpath(path.absolute(), folder.absolute())).as_posix()
                found.setdefault(job.style, []).append(link)
    return found
