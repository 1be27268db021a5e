"""What a plugin offers, as typed objects that cost nothing to build.

A descriptor holds names, one-line help, the options class and *thunks*: small functions that
import the work inside. `plugin.py` of a plugin builds descriptors and imports nothing heavy.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Generic, Literal, TypeVar

from seamwright.findings import Finding, Severity

from .context import Context

if TYPE_CHECKING:
    from seamwright.model import Pattern

    from .record import Record

O = TypeVar("O")  # noqa: E741 - the options class of a descriptor


class Feature(StrEnum):
    """What a pattern can hold and a format may or may not carry.

    `features.used(pattern)` finds them; a format that does not mention one drops it.
    """

    CURVE = "curve"
    SEVERAL_SIZES = "several sizes"
    SEVERAL_PIECES = "several pieces"
    CUT_LINE = "cut line"
    CORNER_NAMES = "corner names"
    NOTCH_SLIT = "slit notch"
    NOTCH_V = "V notch"
    NOTCH_T = "T notch"
    NOTCH_CASTLE = "castle notch"
    NOTCH_CHECK = "check notch"
    NOTCH_U = "U notch"
    NOTCH_DEPTH = "notch depth, width and angle"
    NOTCH_NAMES = "notch names"
    GRAIN_LINE = "grain line"
    FOLD_LINE = "fold line"
    DART = "dart"
    INTERNAL_LINE = "internal line"
    CUTOUT = "cut-out"
    SEW_LINE = "sew line"
    STRIPE_PLAID = "stripe or plaid line"
    GRADE_REFERENCE = "grade reference line"
    VALIDATION = "quality-validation curve"
    DRILL_HOLE = "drill hole"
    TEXT = "text"
    QUANTITY = "cut quantity"
    MATERIAL = "material"
    CATEGORY = "category"
    ALLOWANCE = "seam allowance by edge"
    GRADE_RULES = "grade rules"
    GRADE_POINTS = "grade points"
    CURVE_POINTS = "curve points"
    SEAMS = "seam plan"
    NOTES = "style data"
    FOREIGN = "data of another format"


@dataclass(frozen=True, slots=True)
class Carried:
    """How well a format carries a feature.

    how        "exact", "within" (to `tolerance`), or "dropped"
    tolerance  in words, for "within": "the chord tolerance"
    """

    how: Literal["exact", "within", "dropped"]
    tolerance: str = ""


EXACT = Carried("exact")
DROPPED = Carried("dropped")


def within(tolerance: str) -> Carried:
    """Carried to a stated tolerance."""
    return Carried("within", tolerance)


class Guess(StrEnum):
    """A sniff's answer. `yes` beats `maybe`; several of a kind are told apart by suffix."""

    NO = "no"
    MAYBE = "maybe"
    YES = "yes"


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """What a sniff sees: display name, suffix in lower case (".svg"), first 4 KiB (gunzipped)."""

    name: str
    suffix: str
    data: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """What a reader gets: the bytes (bounded, gunzipped), the display name, and the bytes of
    files beside it that the format may look for, by suffix (".rul"), already bounded."""

    name: str
    data: bytes
    beside: Mapping[str, bytes] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadResult:
    """A pattern and what was noticed on the way. What was repaired is a finding with
    `repaired=True`; what could not be read is an error finding or a raised SeamwrightError.
    facts: counts and other small figures for `info` (raw entities read, converted, kept)."""

    pattern: Pattern
    findings: tuple[Finding, ...] = ()
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One file of an output. suffix "" is the file asked for; ".rul" a file of that suffix
    beside it. yields: where such a file lies beside it already (a plan of the user's), it stays.
    """

    data: bytes
    suffix: str = ""
    yields: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WriteResult:
    """What a writer made: bytes only; the core puts them on disk, beside and renamed."""

    parts: tuple[Part, ...]
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader(Generic[O]):
    """How a format is read. beside: suffixes of neighbouring files to hand over, if there."""

    options: type[O]
    run: Callable[[Source, O, Context], ReadResult]
    beside: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer(Generic[O]):
    """How a format is written. carries: what it carries with those options, where that depends
    on them; else as the format says."""

    options: type[O]
    run: Callable[[Pattern, O, Context], WriteResult]
    carries: Callable[[O], Mapping[Feature, Carried]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Code:
    """A finding code that a plugin may use.

    title   the fault in a few words; why: why it matters; remedy: what to do
    preview a new check's code: reported, without effect on the exit status
    """

    code: str
    severity: Severity
    title: str
    why: str
    remedy: str
    preview: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Format:
    """A file format.

    name      short ("svg"); suffixes with the dot, in lower case
    sniff     looks at the first bytes; pure, light, stringent
    carries   feature -> how well; what is not mentioned is dropped
    """

    name: str
    help: str
    suffixes: tuple[str, ...]
    sniff: Callable[[Head], Guess]
    carries: Mapping[Feature, Carried]
    reader: Reader[Any] | None = None
    writer: Writer[Any] | None = None
    codes: tuple[Code, ...] = ()
    page: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StepResult:
    """What a step gives back. A check gives the very pattern that it got.

    looked_at   how many things a check looked at; 0 means that it did not look, and why stands
                in `skipped`
    figures     small named figures for the record and the report: JSON-able, lengths in mm
    """

    pattern: Pattern
    findings: tuple[Finding, ...] = ()
    looked_at: int = 0
    skipped: str = ""
    figures: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(Generic[O]):
    """A check or an alteration.

    keeps   invariants by name that hold after every run (see `pipeline.invariants`); each is
            verified by the core
    acts_on names of the options that say on which pieces the step acts ("Front: dart-1", an edge,
            a place); where they name none, it acts on all that are selected. The others are
            `other-pieces`.
    """

    name: str
    help: str
    options: type[O]
    run: Callable[[Pattern, O, Context], StepResult]
    kind: Literal["check", "alteration"]
    keeps: tuple[str, ...] = ()
    acts_on: tuple[str, ...] = ()
    codes: tuple[Code, ...] = ()
    page: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Report(Generic[O]):
    """A document made of findings and of measures before and after."""

    name: str
    help: str
    suffixes: tuple[str, ...]
    options: type[O]
    run: Callable[[Record, O, Context], WriteResult]
    page: str = ""
