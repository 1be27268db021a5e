"""What the numbers of a rule table count from: three readings, told apart by what they prove.

    cumulative      offset from the sample size                    -10 -5 0 5 10
    step-outward    offset from the neighbour nearer the sample     -5 -5 0 5  5
    step-ascending  offset from the size listed before, first is 0   0  5 5 5  5

(a linear 5 mm grade of sizes XS S M L XL, sample M). Which one the standard means could not be
settled from any text that could be opened; so the file's numbers decide, or the user does, and
where neither can, nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

Reading = Literal["cumulative", "step-outward", "step-ascending"]
READINGS: tuple[Reading, ...] = get_args(Reading)

_SAME = 1e-9
_FLAT, _GROWN = 1.25, 1.6
_SHARE = 0.8
_ENOUGH = 2


@dataclass(frozen=True, slots=True)
class Decision:
    """The reading and the reason; reading is None where the numbers leave it open."""

    reading: Reading | None
    reason: str


def offsets_of(deltas: FloatArray, sample: int, reading: Reading) -> FloatArray:
    """Offsets (Z, 2) from the sample size of raw deltas (Z, 2)."""
    if reading == "cumulative":
        return np.asarray(deltas - deltas[sample])
    if reading == "step-ascending":
        whole = np.cumsum(deltas, axis=0)
        return np.asarray(whole - whole[sample])
    out = np.zeros_like(deltas)
    out[sample + 1 :] = np.cumsum(deltas[sample + 1 :], axis=0)
    out[:sample] = np.cumsum(deltas[:sample][::-1], axis=0)[::-1]
    return out


def deltas_of(offsets: FloatArray, sample: int, reading: Reading) -> FloatArray:
    """Raw deltas (Z, 2) that say offsets (Z, 2) from the sample size: the way back."""
    if reading == "cumulative":
        return offsets.copy()
    if reading == "step-ascending":
        return np.diff(offsets, axis=0, prepend=offsets[:1])
    out = np.zeros_like(offsets)
    out[sample + 1 :] = np.diff(offsets[sample:], axis=0)
    out[:sample] = -np.diff(offsets[: sample + 1], axis=0)
    return out


def decide(rules: Mapping[int, FloatArray], sample: int) -> Decision:
    """The reading that the numbers of all rules (Z, 2 each) prove.

    cumulative and step-outward are 0 at the sample size, step-ascending at the first size: a
    number that is not rules readings out. Between cumulative and step-outward the growth away
    from the sample size decides, if nearly all rules agree. Readings that come to the same
    offsets need no decision.
    """
    if not rules:
        return Decision("cumulative", "there is no rule")
    table = np.stack(list(rules.values()))
    open_readings: list[Reading] = []
    at_sample = bool(np.abs(table[:, sample]).max() <= _SAME)
    at_first = bool(np.abs(table[:, 0]).max() <= _SAME)
    if at_sample:
        open_readings += ["cumulative", "step-outward"]
    if at_first:
        open_readings += ["step-ascending"]
    if not open_readings:
        return Decision(
            None, "neither the sample size nor the first size is 0 throughout: no reading fits"
        )
    if len(open_readings) == 1:
        return Decision(open_readings[0], "the sample size has numbers, the first size has none")
    results = [
        np.stack([offsets_of(rule, sample, reading) for rule in table]) for reading in open_readings
    ]
    if all(np.abs(r - results[0]).max() <= _SAME for r in results[1:]):
        return Decision(open_readings[0], "all readings come to the same")
    if "step-ascending" in open_readings and sample > 0:
        return Decision(None, "both the sample size and the first size are 0 in every rule")
    grown, flat = _votes(table, sample)
    votes = grown + flat
    if votes < _ENOUGH:
        return Decision(None, f"only {votes} of its rules could show how numbers grow")
    if grown >= _SHARE * votes:
        return Decision("cumulative", f"numbers grow with the distance in {grown} of {votes} cases")
    if flat >= _SHARE * votes:
        reading: Reading = "step-outward"
        return Decision(
            reading, f"numbers stay the same with the distance in {flat} of {votes} cases"
        )
    return Decision(None, f"numbers grow in {grown} of {votes} cases and stay the same in {flat}")


def _votes(table: FloatArray, sample: int) -> tuple[int, int]:
    """Cases in which the second size away has about twice the first's number, or about the same."""
    sizes = table.shape[1]
    grown = flat = 0
    for near, far in ((sample + 1, sample + 2), (sample - 1, sample - 2)):
        if not (0 <= far < sizes and 0 <= near < sizes):
            continue
        a = np.hypot(table[:, near, 0], table[:, near, 1])
        b = np.hypot(table[:, far, 0], table[:, far, 1])
        live = a > 1e-6
        ratio = b[live] / a[live]
        same_way = (table[live, near] * table[live, far]).sum(axis=1) > 0
        grown += int(((ratio >= _GROWN) & same_way).sum())
        flat += int(((ratio <= _FLAT) & (ratio >= 1 / _GROWN) & same_way).sum())
    return grown, flat
