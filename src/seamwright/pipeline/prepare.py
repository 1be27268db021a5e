"""The whole pipeline resolved before any input is opened; refused if it cannot run whole."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from seamwright.findings import Finding, SeamwrightError, did_you_mean
from seamwright.plugins import registry as registries
from seamwright.plugins.building import Where, build
from seamwright.plugins.context import Limits, UnitName
from seamwright.plugins.descriptors import Feature
from seamwright.plugins.filenames import same_name
from seamwright.plugins.loss import accepted_features
from seamwright.plugins.names import Entry, Shelf
from seamwright.plugins.option_kinds import fields_of
from seamwright.plugins.registry import Registry
from seamwright.plugins.writing import made_by, report_for, writer_for

from . import builtin
from .keeps import check_keeps
from .outputs import fields_of_template
from .use import Use

if TYPE_CHECKING:
    from seamwright.plan import SeamPlan

    from .pipeline import Pipeline


@dataclass(frozen=True, slots=True, kw_only=True)
class PreparedStep:
    """A step with everything resolved.

    entry    the step; for `write` its format, for `report` its report
    options  of the step, the writer or the report, built
    own      `WriteOptions` or `ReportOptions` of the two built-in steps, else None
    parts    what the template of an output uses
    """

    use: Use
    where: Where
    entry: Entry[Any]
    options: Any
    own: Any = None
    accepted: Mapping[Feature, str] = field(default_factory=dict)
    parts: frozenset[str] = frozenset()

    @property
    def name(self) -> str:
        """Full name for the record: "cap_ease/ease-cap", "write"."""
        return self.use.name if self.own is not None else self.entry.full


@dataclass(frozen=True, slots=True, kw_only=True)
class Prepared:
    """A pipeline that can be run. plan: the one that the pipeline names, loaded."""

    steps: tuple[PreparedStep, ...]
    registry: Registry
    units: UnitName
    plan: SeamPlan | None = None
    plan_name: str | None = None
    plan_digest: str = ""


def prepare(
    pipeline: Pipeline,
    *,
    registry: Registry | None = None,
    units: UnitName | None = None,
    several: bool = False,
    overwrite: bool | None = None,
    limits: Limits | None = None,
) -> Prepared:
    """See `Pipeline.prepare`."""
    found = registry or registries.default()
    faults: list[Finding] = []
    steps: list[PreparedStep] = []
    if not pipeline.uses:
        raise SeamwrightError.of(
            "pipeline.value", "there is no step in the pipeline", hint="add one: Use(...)"
        )
    for use, where in zip(pipeline.uses, pipeline.places, strict=True):
        try:
            if use.name in builtin.NAMES:
                steps.append(_output(use, where, found, pipeline.units, overwrite))
            else:
                steps.append(_step(use, where, found, pipeline.units))
        except SeamwrightError as error:
            faults += [error.finding, *error.others]
    faults += _colliding(steps, several)
    plan = name = None
    digest = ""
    if pipeline.plan is not None:
        from .plans import named_plan  # noqa: PLC0415 - only where a plan is named

        try:
            plan, name, digest = named_plan(pipeline.plan, pipeline.file, limits)
        except SeamwrightError as error:
            faults += [error.finding, *error.others]
    if faults:
        raise SeamwrightError(faults[0], others=faults[1:])
    return Prepared(
        steps=tuple(steps),
        registry=found,
        units=units or pipeline.units,
        plan=plan,
        plan_name=name,
        plan_digest=digest,
    )


def _step(use: Use, where: Where, registry: Registry, units: UnitName) -> PreparedStep:
    entry = _StepNames(registry.steps).find(use.name, where)
    check_keeps(entry)
    options = build(entry.thing.options, use.options, where=where, units=units)
    return PreparedStep(use=use, where=where, entry=entry, options=options)


class _StepNames:
    """Steps by name, with `write` and `report` among the names that a slip may have meant."""

    def __init__(self, shelf: Shelf[Any]) -> None:
        self.shelf = shelf

    def find(self, name: str, where: Where) -> Entry[Any]:
        try:
            return self.shelf.find(name, where=where)
        except SeamwrightError as error:
            if error.finding.code != "name.unknown":
                raise
            hint = did_you_mean(name, [*self.shelf.names, *builtin.NAMES])
            told = (error.finding.hint or "").partition("; ")[2]
            raise SeamwrightError(
                error.finding.but(hint="; ".join(h for h in (hint, told) if h))
            ) from None


def _output(
    use: Use, where: Where, registry: Registry, units: UnitName, overwrite: bool | None
) -> PreparedStep:
    cls = builtin.CLASSES[use.name]
    own_names = {f.name for f in fields_of(cls)}
    mine = {k: v for k, v in use.options.items() if k in own_names}
    rest = {k: v for k, v in use.options.items() if k not in own_names}
    own = build(cls, mine, where=where, units=units)
    if overwrite is not None:
        own = type(own)(**{**{f.attribute: getattr(own, f.attribute) for f in fields_of(cls)},
                           "overwrite": overwrite})  # fmt: skip
    parts = fields_of_template(
        own.to, where, ("stem", "name") if use.name == "report" else _ALL_PARTS
    )
    entry: Entry[Any]
    if use.name == "write":
        entry = writer_for(Path(own.to), registry, format=own.format, where=where)
        their = made_by(entry).options
    else:
        if (use.pieces, use.sizes, use.leave) != (None, None, None):
            raise SeamwrightError(
                where.finding(
                    "pipeline.value",
                    "a report tells of the whole run: it takes no pieces, sizes or except",
                    hint="select on the steps instead",
                )
            )
        entry = report_for(Path(own.to), registry, format=own.format, where=where)
        their = entry.thing.options
    _known_here(rest, own_names, their, entry, where)
    return PreparedStep(
        use=use,
        where=where,
        entry=entry,
        options=build(their, rest, where=where, units=units),
        own=own,
        accepted=accepted_features(getattr(own, "accept_loss", {}), where=where),
        parts=parts,
    )


_ALL_PARTS = ("stem", "size", "piece", "name")


def _known_here(
    rest: Mapping[str, Any], own: set[str], their: type[Any], entry: Entry[Any], where: Where
) -> None:
    """Refuses what neither the built-in step nor the format knows, with both in mind."""
    valid = [*sorted(own), *(f.name for f in fields_of(their))]
    faults = [
        where.finding(
            "option.unknown",
            f'there is no option "{name}" (of {where.what} or of {entry.full})',
            (name,),
            did_you_mean(name, valid),
        )
        for name in rest
        if name not in valid
    ]
    if faults:
        raise SeamwrightError(faults[0], others=faults[1:])


def _colliding(steps: list[PreparedStep], several: bool) -> Iterator[Finding]:
    """Outputs that would be written over one another."""
    seen: list[str] = []
    for step in steps:
        if step.own is None:
            continue
        to = step.own.to
        if any(same_name(to, other) for other in seen):
            yield step.where.finding(
                "output.twice",
                f'two steps write to "{to}"',
                ("to",),
                "give each its own name",
            )
        seen.append(to)
        if several and not step.parts & {"stem"}:
            yield step.where.finding(
                "output.twice",
                f'every input would be written to "{to}"',
                ("to",),
                "put {stem} into the name",
            )


def with_units(prepared: Prepared, units: UnitName) -> Prepared:
    """The same, with messages in other units."""
    return replace(prepared, units=units)
