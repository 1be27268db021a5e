"""Tags as text: every number fixed point, never an exponent, never "-0"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from seamwright.plugins.api import SeamwrightError

END = "\r\n"


def numbers(values: NDArray[np.float64], decimals: int) -> list[str]:
    """Texts of numbers (N,) with at most `decimals` decimals.

    Raises SeamwrightError `dxf.not-finite` before anything is written.
    """
    flat = np.asarray(values, dtype=np.float64).ravel()
    if not np.isfinite(flat).all():
        raise SeamwrightError.of(
            "dxf.not-finite",
            "the pattern holds a coordinate that is no number; nothing is written",
            hint="look for the step that made it",
        )
    form = f"%.{decimals}f"
    out = [(form % v).rstrip("0").rstrip(".") for v in flat.tolist()]
    # What rounds to nothing is 0, whatever its sign.
    return [t if t != "-0" else "0" for t in out]


def number(value: float, decimals: int = 6) -> str:
    """One number."""
    return numbers(np.array([value]), decimals)[0]


def tag(code: int, value: str) -> str:
    """One tag, two lines."""
    return f"{code:3d}{END}{value}{END}"


def tags(pairs: Iterable[tuple[int, str]]) -> str:
    """Several tags."""
    return "".join(f"{code:3d}{END}{value}{END}" for code, value in pairs)


def polyline(
    layer: str,
    points: NDArray[np.float64],
    closed: bool,
    decimals: int,
    *,
    extended: str = "",
    bulges: Sequence[float] | None = None,
) -> str:
    """A POLYLINE with its VERTEX records and SEQEND; extended: extended data of the POLYLINE."""
    xs, ys = numbers(points[:, 0], decimals), numbers(points[:, 1], decimals)
    head = (
        f"  0{END}POLYLINE{END}  8{END}{layer}{END} 66{END}1{END} 10{END}0{END} 20{END}0"
        f"{END} 30{END}0{END} 70{END}{1 if closed else 0}{END}{extended}"
    )
    before = f"  0{END}VERTEX{END}  8{END}{layer}{END} 10{END}"
    middle = f"{END} 20{END}"
    after = f"{END} 30{END}0{END}"
    if bulges is None:
        body = "".join([f"{before}{x}{middle}{y}{after}" for x, y in zip(xs, ys, strict=True)])
    else:
        bends = numbers(np.array(bulges), 6)
        body = "".join(
            f"{before}{x}{middle}{y}{after}" + (f" 42{END}{b}{END}" if b != "0" else "")
            for x, y, b in zip(xs, ys, bends, strict=True)
        )
    return f"{head}{body}  0{END}SEQEND{END}  8{END}{layer}{END}"


def line(layer: str, a: Sequence[float], b: Sequence[float], decimals: int, extra: str = "") -> str:
    """A LINE."""
    x0, y0, x1, y1 = numbers(np.array([*a, *b]), decimals)
    return tags(
        [(0, "LINE"), (8, layer), (10, x0), (20, y0), (30, "0"), (11, x1), (21, y1), (31, "0")]
    ) + extra  # fmt: skip


def points(layer: str, xy: NDArray[np.float64], decimals: int) -> str:
    """POINTs without anything but their place."""
    xs, ys = numbers(xy[:, 0], decimals), numbers(xy[:, 1], decimals)
    before = f"  0{END}POINT{END}  8{END}{layer}{END} 10{END}"
    middle, after = f"{END} 20{END}", f"{END} 30{END}0{END}"
    return "".join([f"{before}{x}{middle}{y}{after}" for x, y in zip(xs, ys, strict=True)])


def text(
    layer: str, at: Sequence[float], height: float, rotation: float, value: str, decimals: int,
    comment: str = "", extra: str = "",
) -> str:  # fmt: skip
    """A TEXT at the start of its baseline."""
    x, y, h, r = numbers(np.array([*at, height, rotation]), decimals)
    pairs = [(0, "TEXT")]
    if comment:
        pairs.append((999, comment))
    pairs += [(8, layer), (10, x), (20, y), (30, "0"), (40, h), (1, value)]
    if r != "0":
        pairs.append((50, r))
    return tags(pairs) + extra
