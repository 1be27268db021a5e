"""The pipeline: steps in order, from TOML or from Python with the same names and options."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError
from seamwright.plugins.building import Where
from seamwright.plugins.context import Limits, UnitName
from seamwright.plugins.record import Record
from seamwright.plugins.registry import Registry

from .parsing import VERSION, parse
from .use import Use

if TYPE_CHECKING:
    from seamwright.model import Pattern

    from .prepare import Prepared


@dataclass(frozen=True, init=False)
class Pipeline:
    """Steps in order.

    uses   the steps
    units  the user's: bare numbers among the options count in it, messages are given in it
    plan   path of the seam plan, relative to the pipeline's file; None: beside the pattern, else
           inside its file
    note   a remark of the author, kept

    Two pipelines are equal when they say the same; `load` and `to_toml` are inverse.
    """

    uses: tuple[Use, ...]
    units: UnitName = "mm"
    plan: str | None = None
    note: str = ""
    file: Path | None = field(default=None, compare=False)
    places: tuple[Where, ...] = field(default=(), compare=False, repr=False)

    def __init__(
        self,
        uses: Iterable[Use],
        *,
        units: UnitName = "mm",
        plan: str | Path | None = None,
        note: str = "",
        file: Path | None = None,
        places: Sequence[Where] = (),
    ) -> None:
        steps = tuple(uses)
        put = object.__setattr__
        put(self, "uses", steps)
        put(self, "units", units)
        put(self, "plan", None if plan is None else str(plan))
        put(self, "note", note)
        put(self, "file", file)
        named = [Where(what=f"step {i} ({use.name})") for i, use in enumerate(steps, start=1)]
        put(self, "places", tuple(places) or tuple(named))

    @classmethod
    def load(cls, source: str | Path, *, limits: Limits | None = None) -> Pipeline:
        """The pipeline in a TOML file; a text of several lines is taken as the TOML itself.

        Raises SeamwrightError with every fault, its line and the nearest valid name.
        """
        if isinstance(source, str) and "\n" in source:
            return cls.loads(source)
        from seamwright.plugins.inputs import bounded_bytes  # noqa: PLC0415 - no file, no need

        path = Path(source)
        raw = bounded_bytes(path, limits or Limits(), limit="toml")
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise SeamwrightError.of(
                "pipeline.syntax",
                f"not UTF-8 text: byte {error.start} cannot be read",
                file=str(source),
                hint="save it as UTF-8",
            ) from None
        return cls.loads(text, name=str(source), file=path)

    @classmethod
    def loads(cls, text: str, *, name: str | None = None, file: Path | None = None) -> Pipeline:
        """The pipeline in a TOML text; `name` is what messages call it."""
        found = parse(text, name)
        units: Any = found.units
        return cls(
            found.uses,
            units=units,
            plan=found.plan,
            note=found.note,
            file=file,
            places=found.places,
        )

    def to_toml(self) -> str:
        """The pipeline as TOML, from which `load` makes it again."""
        import tomli_w  # noqa: PLC0415 - only writing needs it

        table: dict[str, Any] = {"seamwright": VERSION}
        if self.note:
            table["note"] = self.note
        if self.units != "mm":
            table["units"] = self.units
        if self.plan is not None:
            table["plan"] = self.plan
        table["step"] = [use.to_toml() for use in self.uses]
        return tomli_w.dumps(table)

    def prepare(
        self,
        *,
        registry: Registry | None = None,
        units: UnitName | None = None,
        several: bool = False,
        overwrite: bool | None = None,
        limits: Limits | None = None,
    ) -> Prepared:
        """Every name, option and output resolved; no input is opened.

        units      the user's for messages, where other than the pipeline's
        several    more than one input will be run, so outputs must be told apart by {stem}
        overwrite  for all outputs, where given
        limits     on the seam plan that the pipeline names

        Raises SeamwrightError with every fault of every step.
        """
        from .prepare import prepare  # noqa: PLC0415 - plugins are found here

        return prepare(
            self,
            registry=registry,
            units=units,
            several=several,
            overwrite=overwrite,
            limits=limits,
        )

    def run(
        self,
        pattern: Pattern,
        *,
        out: str | Path = ".",
        stem: str | None = None,
        registry: Registry | None = None,
        read_findings: Iterable[Finding] = (),
        overwrite: bool | None = None,
    ) -> tuple[Pattern, Record]:
        """Runs the steps over a pattern: the pattern as it stands after the last, and the record.

        out    folder for what `write` and `report` make
        stem   what {stem} stands for; the pattern's name where none is given

        A plan named by the pipeline is applied first; one on the pattern stays otherwise. Raises
        SeamwrightError before the first step for what cannot be run whole; PipelineStopped, with
        the record so far, when a step fails.
        """
        from .running import run  # noqa: PLC0415 - numpy from here on

        return run(
            self.prepare(registry=registry, overwrite=overwrite),
            pattern,
            out=Path(out),
            stem=stem,
            read_findings=tuple(read_findings),
        )
