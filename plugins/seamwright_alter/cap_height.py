"""The cap higher or lower."""

from __future__ import annotations

import numpy as np

from seamwright.geometry import Curve
from seamwright.model import Pattern
from seamwright.plugins.api import Context, StepResult

from .options import AlterCapHeight
from .result import OutOfReachError, over_sleeves
from .sleeve import Sleeve, affine, redrawn


def alter_cap_height(pattern: Pattern, options: AlterCapHeight, ctx: Context) -> StepResult:
    """Stretches the cap square to the bicep line; the bicep line does not move.

    The affine map keeps both underarm points and moves the shoulder point, so the cap stays as
    smooth as it was. With straight sides F and B the bicep is sqrt(F^2 - h^2) + sqrt(B^2 - h^2)
    (plane geometry): at one width, a higher cap is a longer one.
    """

    def redraw(sleeve: Sleeve) -> Curve:
        height = sleeve.height_of(sleeve.shoulder)
        if height + options.amount < 0.15 * height:
            raise OutOfReachError(
                f"the cap is {ctx.length(height)} high; {ctx.length(-options.amount)} lower leaves "
                "no cap"
            )
        e = sleeve.along
        up = np.array([e[1], -e[0]])
        top = sleeve.shoulder + float(options.amount) * up
        source = np.array([sleeve.first, sleeve.last, sleeve.shoulder])
        target = np.array([sleeve.first, sleeve.last, top])
        return redrawn(sleeve, [(sleeve.cap, affine(source, target))])

    return over_sleeves(pattern, ctx, redraw)
