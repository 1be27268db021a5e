"""Millimetres a drawing unit: what the file says, else what is plausible, said either way."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from typing import Final

from seamwright.plugins.api import Finding, Severity

INSUNITS: Final = {
    1: ("inches", 25.4), 2: ("feet", 304.8), 3: ("miles", 1609344.0), 4: ("millimetres", 1.0),
    5: ("centimetres", 10.0), 6: ("metres", 1000.0), 7: ("kilometres", 1e6),
    8: ("microinches", 25.4e-6), 9: ("mils", 0.0254), 10: ("yards", 914.4),
    11: ("angstroms", 1e-7), 12: ("nanometres", 1e-6), 13: ("microns", 1e-3),
    14: ("decimetres", 100.0), 15: ("decametres", 1e4), 16: ("hectometres", 1e5),
    17: ("gigametres", 1e12), 18: ("astronomical units", 1.495978707e14),
    19: ("light years", 9.4607304725808e18), 20: ("parsecs", 3.0856775814913674e19),
    21: ("US survey feet", 1200000.0 / 3937.0), 22: ("US survey inches", 100000.0 / 3937.0),
    23: ("US survey yards", 3600000.0 / 3937.0), 24: ("US survey miles", 6336000000.0 / 3937.0),
}  # fmt: skip
"""`$INSUNITS` of the DXF reference (5 to 24 from memory)."""

_WORDS: Final = {
    "metric": 1.0, "mm": 1.0, "millimeter": 1.0, "millimeters": 1.0, "millimetre": 1.0,
    "millimetres": 1.0, "english": 25.4, "imperial": 25.4, "inch": 25.4, "inches": 25.4,
    "in": 25.4, "cm": 10.0, "centimeter": 10.0, "centimeters": 10.0, "centimetre": 10.0,
    "centimetres": 10.0, "metric cm": 10.0, "metric mm": 1.0,
}  # fmt: skip
NAMES: Final = {1.0: "mm", 10.0: "cm", 25.4: "in"}

USUAL: Final = (200.0, 1500.0)
"""mm; the longest side of a style's largest piece (common practice, no source)."""
_TYPICAL: Final = 700.0
_SMALLEST, _LARGEST = 100.0, 6000.0  # mm; beyond these a stated unit is called implausible


@dataclass(frozen=True, slots=True)
class Unit:
    """mm a drawing unit, and where that came from."""

    mm: float
    source: str
    findings: tuple[Finding, ...] = ()


def unit_of_word(word: str) -> float | None:
    """mm a unit for the value of a text `Units:`; METRIC is mm, ENGLISH is inches (D6673
    cl. 4.3.1.1, second-hand)."""
    plain = re.sub(r"[^a-z ]", " ", word.lower())
    return _WORDS.get(" ".join(plain.split()))


def decide_unit(
    *,
    asked: float | None,
    said: str,
    insunits: int | None,
    measurement: int | None,
    longest: float,
    standard: bool,
) -> Unit:
    """The unit of a drawing.

    asked       mm a unit that the user demands
    said        value of the file's own text `Units:`, or ""
    insunits, measurement   header variables as the raw tags have them, None where absent
    longest     longest side of the largest piece (of the whole drawing, where it does not follow
                the standard) in drawing units, 0 where there is none
    standard    the file follows the sewn-products standard
    """
    if asked is not None:
        return Unit(asked, "the option unit")
    findings: list[Finding] = []
    header = INSUNITS.get(insunits) if insunits is not None else None
    word = unit_of_word(said) if said else None
    if said and word is None:
        findings.append(
            _finding("unit.unknown", f'the file states Units: "{said}", which says nothing')
        )
    if word is not None:
        if header is not None and abs(header[1] - word) > 1e-9 * word:
            findings.append(
                Finding(
                    code="unit.contradiction",
                    severity=Severity.NOTE,
                    message=f'the text says Units: "{said}", the header says {header[0]}; the '
                    "text is followed",
                    hint="say unit = ... if the text is wrong",
                )
            )
        return Unit(
            word, f"the text Units: {said}", (*findings, *_implausible(word, longest, standard))
        )
    if header is not None:
        mm = header[1]
        if measurement is not None and (measurement == 1) == (insunits in (1, 2, 3, 8, 9, 10)):
            findings.append(
                Finding(
                    code="unit.contradiction",
                    severity=Severity.NOTE,
                    message=f"$INSUNITS says {header[0]}, $MEASUREMENT says "
                    f"{'metric' if measurement == 1 else 'inches'}; $INSUNITS is followed",
                )
            )
        return Unit(
            mm, f"$INSUNITS ({header[0]})", (*findings, *_implausible(mm, longest, standard))
        )
    mm, why = _judged(longest, measurement, standard)
    sizes = " or ".join(f"{longest * f / 10:.1f} cm" for f in (1.0, 10.0, 25.4))
    findings.append(
        Finding(
            code="unit.unknown",
            severity=Severity.WARNING,
            message=f"the file states no unit; {NAMES[mm]} is taken, {why}. The "
            f"{'largest piece' if standard else 'drawing'} is {longest:.4g} units long: "
            f"{sizes}, read as mm, cm or in",
            measured=longest * mm,
            hint='say unit = "mm", "cm" or "in"',
        )
    )
    return Unit(mm, "judged by size" if standard else "assumed", tuple(findings))


def _judged(longest: float, measurement: int | None, standard: bool) -> tuple[float, str]:
    if not standard or longest <= 0:
        if measurement == 0 and 0 < longest < USUAL[0]:
            return 25.4, "because $MEASUREMENT says inches"
        return 1.0, "for want of anything better"
    fits = [mm for mm in (1.0, 10.0, 25.4) if USUAL[0] <= longest * mm <= USUAL[1]]
    if measurement is not None:
        hinted = [mm for mm in fits if (mm == 25.4) == (measurement == 0)]
        fits = hinted or fits
    if not fits:
        fits = [1.0] if longest > USUAL[1] else [1.0, 10.0, 25.4]
    best = min(fits, key=lambda mm: abs(math.log(longest * mm / _TYPICAL)))
    return best, "because pieces are then of a usual size"


def _implausible(mm: float, longest: float, standard: bool) -> tuple[Finding, ...]:
    length = longest * mm
    if longest <= 0 or ((length >= _SMALLEST or not standard) and length <= _LARGEST):
        return ()
    return (
        Finding(
            code="unit.implausible",
            severity=Severity.WARNING,
            message=f"by the file's unit the {'largest piece' if standard else 'drawing'} is "
            f"{length / 10:.4g} cm long; the unit may be wrong",
            measured=length,
            limit=_LARGEST if length > _LARGEST else _SMALLEST,
            hint='say unit = "mm", "cm" or "in" if so',
        ),
    )


def _finding(code: str, message: str) -> Finding:
    return Finding(code=code, severity=Severity.WARNING, message=message)
