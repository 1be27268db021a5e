"""Zeros of smooth functions of one variable."""

from __future__ import annotations

from collections.abc import Callable

from seamwright.geometry import GeometryError


def root(f: Callable[[float], float], guess: float, refusal: str) -> float:
    """A zero near 0 by the secant through 0 and `guess`, to 1e-11 of f's unit where rounding
    allows and 1e-9 at worst. GeometryError with `refusal` where none is found."""
    a, b = 0.0, guess
    fa, fb = f(a), f(b)
    if abs(fa) < 1e-11:
        return a
    for _ in range(50):
        if abs(fb) < 1e-11 or fa == fb:
            break
        a, b, fa = b, b - fb * (b - a) / (fb - fa), fb
        fb = f(b)
    if not abs(fb) <= 1e-9:
        raise GeometryError(refusal)
    return b
