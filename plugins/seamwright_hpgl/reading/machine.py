"""A plotter on paper: it takes instructions and keeps what its pens drew, in plotter units."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from seamwright.geometry import FloatArray, ellipse_arc

from .encoded import BadEncoding, moves
from .frame import Frame
from .tokens import Instruction

Point = tuple[float, float]

#: Instructions that change nothing of what is drawn where: speeds, forces, fills, fonts, prompts.
_QUIET: Final = """
    VS VN FS AS AP PB PT PW WU UL LA PC NP MC TR SV RF RQ FT CR TL XT YT SM CA CS CV CM
    SA SS SB SD AD FI FN FP TD LM MT ST QL EC OA OC OD OE OF OG OH OI OK OL OO OP OS OT OW GM IM KY
    RV NR FR AF AH PG BP CO CF CC CT DT CP"""
_SILENT: Final = frozenset(_QUIET.split())
_FAR: Final = 1e9  # units; nothing is plotted farther out (25 km)


@dataclass(slots=True)
class Drawn:
    """One stretch of a lowered pen. points (N + 1, 2) as a list; curved: cubics (K, 4, 2) that
    stand between points[i] and points[i + 1], by i."""

    pen: int
    points: list[Point]
    curved: dict[int, FloatArray] = field(default_factory=dict)
    dashed: bool = False


@dataclass(slots=True)
class Lettered:
    """A label: start of the baseline, height in plotter units, direction in degrees."""

    text: bytes
    pen: int
    at: Point
    height: float
    turn: float


@dataclass(slots=True)
class Faults:
    """unknown: mnemonics that are none; junk: characters between instructions; broken: what could
    not be followed, with the byte where it stands; scale_guessed: SC without any IP or PS."""

    unknown: Counter[str] = field(default_factory=Counter)
    junk: int = 0
    broken: list[tuple[str, int]] = field(default_factory=list)
    scale_guessed: bool = False


class Machine:
    """Runs instructions. strokes, labels and faults hold what came of it."""

    def __init__(self, most_points: int) -> None:
        self.strokes: list[Drawn] = []
        self.labels: list[Lettered] = []
        self.faults = Faults()
        self.used: Counter[str] = Counter()
        self._left = most_points
        self._reset()

    def run(self, program: Iterable[Instruction]) -> None:
        """Takes all instructions."""
        table = {n[4:].upper(): getattr(self, n) for n in dir(self) if n.startswith("_do_")}
        for step in program:
            name = step.name
            if name == "":
                self.faults.junk += len(step.text)
                continue
            if name == "END":
                what = "label" if step.text == b"LB" else "encoded line"
                self.faults.broken.append((f"the file ends within a {what}", step.at))
                continue
            self.used[name] += 1
            act = table.get(name)
            if act is not None:
                act(step)
            elif name not in _SILENT:
                self.faults.unknown[name] += 1
        self._lift()

    # -- state ------------------------------------------------------------------------------

    def _reset(self) -> None:
        self._frame = Frame()
        self._placed = False  # whether the plot says where P1 and P2 are
        self._relative = False
        self._down = False
        self._pen = 1
        self._dashed = False
        self._at: Point = (0.0, 0.0)  # in user units
        self._stroke: Drawn | None = None
        self._polygon: list[Drawn] | None = None
        self._edges: list[Drawn] = []
        self._letter = (150.0, 0.0)  # height of a letter, 3.75 mm, and its direction
        self._affine()

    def _affine(self) -> None:
        sx, sy, self._ox, self._oy = self._frame.affine
        if not sx or not sy:  # both points of an IP on one line: a plotter cannot scale by nothing
            self.faults.broken.append(("IP or SC leaves no scale", 0))
        self._sx, self._sy = sx or 1.0, sy or 1.0

    def _unit(self, at: Point) -> Point:
        x, y = self._sx * at[0] + self._ox, self._sy * at[1] + self._oy
        match self._frame.turn:
            case 90:
                return -y, x
            case 180:
                return -x, -y
            case 270:
                return y, -x
        return x, y

    def _lift(self) -> None:
        stroke = self._stroke
        if stroke is not None and len(stroke.points) > 1:
            (self.strokes if self._polygon is None else self._polygon).append(stroke)
        self._stroke = None

    def _open(self) -> Drawn:
        if self._stroke is None:
            self._stroke = Drawn(self._pen, [self._unit(self._at)], dashed=self._dashed)
        return self._stroke

    def _go(self, points: Iterable[Point], *, draw: bool) -> None:
        if draw:
            stroke = self._open()
            sx, sy, ox, oy = self._sx, self._sy, self._ox, self._oy
            if self._frame.turn == 0:
                new = [(sx * x + ox, sy * y + oy) for x, y in points]
            else:
                new = [self._unit(p) for p in points]
            self._count(len(new))
            stroke.points += new
        else:
            self._lift()

    def _count(self, points: int) -> None:
        self._left -= points
        if self._left < 0:
            raise OverflowError("points")

    def _targets(self, numbers: tuple[float, ...], step: Instruction) -> list[Point]:
        """Points in user units; relative ones are added up."""
        if len(numbers) % 2:
            self.faults.broken.append(
                (f"{step.name} has a coordinate without its partner", step.at)
            )
            numbers = numbers[:-1]
        if not numbers:
            return []
        xs, ys = numbers[0::2], numbers[1::2]
        if self._relative:
            x, y = self._at
            out = []
            for dx, dy in zip(xs, ys, strict=True):
                x, y = x + dx, y + dy
                out.append((x, y))
        else:
            out = list(zip(xs, ys, strict=True))
        if max(map(abs, numbers)) > _FAR:
            self.faults.broken.append((f"{step.name} goes out of all bounds", step.at))
            return []
        return out

    def _move(self, step: Instruction) -> None:
        points = self._targets(step.numbers, step)
        if points:
            self._go(points, draw=self._down)
            self._at = points[-1]

    # -- pens and places ----------------------------------------------------------------------

    def _do_pu(self, step: Instruction) -> None:
        self._down = False
        self._lift()
        self._move(step)

    def _do_pd(self, step: Instruction) -> None:
        self._down = True
        self._move(step)

    def _do_pa(self, step: Instruction) -> None:
        self._relative = False
        self._move(step)

    def _do_pr(self, step: Instruction) -> None:
        self._relative = True
        self._move(step)

    def _do_sp(self, step: Instruction) -> None:
        self._lift()
        self._pen = int(step.numbers[0]) if step.numbers else 0

    def _do_lt(self, step: Instruction) -> None:
        self._lift()
        self._dashed = bool(step.numbers)

    def _do_in(self, step: Instruction) -> None:
        self._lift()
        letter = self._pen
        self._reset()
        self._pen = letter

    def _do_df(self, step: Instruction) -> None:
        self._lift()
        self._frame = replace(self._frame, window=None)
        self._relative = self._dashed = False
        self._affine()

    def _do_ip(self, step: Instruction) -> None:
        self._lift()
        here = self._unit(self._at)
        self._frame = self._frame.pointed(step.numbers)
        self._placed = self._placed or len(step.numbers) >= 2
        self._affine()
        self._stay(here)

    def _do_sc(self, step: Instruction) -> None:
        self._lift()
        here = self._unit(self._at)
        frame = self._frame.scaled(step.numbers)
        if frame is None:
            self.faults.broken.append(("SC states no scale", step.at))
            return
        if frame.window is not None and frame.kind != 2 and not self._placed:
            self.faults.scale_guessed = True
        self._frame = frame
        self._affine()
        self._stay(here)

    def _do_ps(self, step: Instruction) -> None:
        if not step.numbers or self._placed:
            return
        x = step.numbers[0]
        y = step.numbers[1] if len(step.numbers) > 1 else 1.5 * x
        if 0 < x < _FAR and 0 < y < _FAR:
            here = self._unit(self._at)
            self._frame = replace(self._frame, p1=(0.0, 0.0), p2=(x, y))
            self._placed = True
            self._affine()
            self._stay(here)

    def _do_ro(self, step: Instruction) -> None:
        self._lift()
        here = self._unit(self._at)
        turn = int(step.numbers[0]) % 360 if step.numbers else 0
        if turn % 90:
            self.faults.broken.append((f"RO {turn} is no quarter turn", step.at))
            return
        self._frame = replace(self._frame, turn=turn)
        self._stay(here)

    def _stay(self, here: Point) -> None:
        """The pen stays where it is on the sheet; its user coordinates become others."""
        x, y = here
        match self._frame.turn:
            case 90:
                x, y = y, -x
            case 180:
                x, y = -x, -y
            case 270:
                x, y = -y, x
        self._at = ((x - self._ox) / self._sx, (y - self._oy) / self._sy)

    # -- arcs and curves ----------------------------------------------------------------------

    def _do_ci(self, step: Instruction) -> None:
        if not step.numbers:
            return
        radius = abs(step.numbers[0])
        at = self._at
        self._lift()
        if 0.0 < radius < _FAR:
            self._arc(at, (at[0] + radius, at[1]), 360.0, draw=True)
            self._lift()
        self._at = at

    def _do_aa(self, step: Instruction) -> None:
        self._arc_to(step, relative=False)

    def _do_ar(self, step: Instruction) -> None:
        self._arc_to(step, relative=True)

    def _arc_to(self, step: Instruction, *, relative: bool) -> None:
        if len(step.numbers) < 3:
            self.faults.broken.append((f"{step.name} lacks its centre or its angle", step.at))
            return
        x, y, sweep = step.numbers[:3]
        centre = (self._at[0] + x, self._at[1] + y) if relative else (x, y)
        if sweep and max(abs(x), abs(y)) < _FAR and abs(sweep) <= 36_000:
            self._arc(centre, self._at, max(-360.0, min(360.0, sweep)), draw=self._down)

    def _do_at(self, step: Instruction) -> None:
        self._three_points(step, relative=False)

    def _do_rt(self, step: Instruction) -> None:
        self._three_points(step, relative=True)

    def _three_points(self, step: Instruction, *, relative: bool) -> None:
        if len(step.numbers) < 4 or max(map(abs, step.numbers)) > _FAR:
            self.faults.broken.append((f"{step.name} lacks a point", step.at))
            return
        x0, y0 = self._at
        x1, y1, x2, y2 = step.numbers[:4]
        if relative:
            x1, y1, x2, y2 = x1 + x0, y1 + y0, x2 + x0, y2 + y0
        found = _circle_through((x0, y0), (x1, y1), (x2, y2))
        if found is None:
            self._go([(x2, y2)], draw=self._down)
        else:
            self._arc(found[0], self._at, found[1], draw=self._down)
        self._at = (x2, y2)

    def _arc(self, centre: Point, start: Point, sweep: float, *, draw: bool) -> None:
        """A true arc; the pen ends at its end."""
        dx, dy = start[0] - centre[0], start[1] - centre[1]
        radius = math.hypot(dx, dy)
        if radius == 0.0:
            return
        angle = math.degrees(math.atan2(dy, dx))
        end_angle = math.radians(angle + sweep)
        whole = abs(sweep) == 360.0
        end = start if whole else (
            centre[0] + radius * math.cos(end_angle), centre[1] + radius * math.sin(end_angle)
        )  # fmt: skip
        if draw:
            scale = max(abs(self._sx), abs(self._sy))
            cubics = ellipse_arc(
                centre, radius, radius, 0.0, angle, sweep, tolerance=1e-3 / max(scale, 1e-9)
            )
            self._at = start
            self._curve(cubics, end)
        else:
            self._go([end], draw=False)
        self._at = end

    def _curve(self, cubics: FloatArray, end: Point) -> None:
        stroke = self._open()
        self._count(4 * len(cubics))
        here = stroke.points[-1]
        points = np.array([[self._unit((float(p[0]), float(p[1]))) for p in s] for s in cubics])
        there = self._unit(end)
        points[0, 0], points[-1, 3] = here, there
        stroke.curved[len(stroke.points) - 1] = points
        stroke.points.append(there)

    def _do_bz(self, step: Instruction) -> None:
        self._beziers(step, relative=False)

    def _do_br(self, step: Instruction) -> None:
        self._beziers(step, relative=True)

    def _beziers(self, step: Instruction, *, relative: bool) -> None:
        numbers = step.numbers
        if len(numbers) % 6 or (numbers and max(map(abs, numbers)) > _FAR):
            self.faults.broken.append((f"{step.name} lacks a point", step.at))
            numbers = numbers[: len(numbers) // 6 * 6]
        for i in range(0, len(numbers), 6):
            x, y = self._at if relative else (0.0, 0.0)
            six = numbers[i : i + 6]
            points = [self._at, *((x + a, y + b) for a, b in zip(six[::2], six[1::2], strict=True))]
            if self._down:
                self._curve(np.array([points]), points[3])
            self._at = points[3]

    def _do_pe(self, step: Instruction) -> None:
        drawn = False
        try:
            for move in moves(step.text):
                if move.pen is not None:
                    self._lift()
                    self._pen = move.pen
                    continue
                x, y = (0.0, 0.0) if move.absolute else self._at
                target = (x + move.x, y + move.y)
                if max(map(abs, target)) > _FAR:
                    raise BadEncoding("it goes out of all bounds")
                self._go([target], draw=move.down)
                self._at, drawn = target, True
        except BadEncoding as error:
            self.faults.broken.append((f"an encoded line: {error}", step.at))
        if drawn:
            self._down = True  # PE leaves the pen down after its last point

    # -- rectangles and polygons --------------------------------------------------------------

    def _do_ea(self, step: Instruction) -> None:
        if len(step.numbers) >= 2:
            self._rectangle(step.numbers[0], step.numbers[1])

    def _do_er(self, step: Instruction) -> None:
        if len(step.numbers) >= 2:
            self._rectangle(self._at[0] + step.numbers[0], self._at[1] + step.numbers[1])

    def _rectangle(self, x: float, y: float) -> None:
        if max(abs(x), abs(y)) > _FAR:
            return
        at = self._at
        self._lift()
        self._go([(x, at[1]), (x, y), (at[0], y), at], draw=True)
        self._lift()

    def _do_pm(self, step: Instruction) -> None:
        mode = int(step.numbers[0]) if step.numbers else 0
        if mode == 0:
            self._lift()
            self._polygon = []
        elif self._polygon is not None:
            stroke = self._stroke
            if (
                stroke is not None
                and len(stroke.points) > 2
                and stroke.points[0] != stroke.points[-1]
            ):
                stroke.points.append(stroke.points[0])
            self._lift()
            if mode == 2:
                self._edges, self._polygon = self._polygon, None

    def _do_ep(self, step: Instruction) -> None:
        self._lift()
        self.strokes += [replace(e, pen=self._pen, dashed=self._dashed) for e in self._edges]

    # -- letters --------------------------------------------------------------------------------

    def _do_si(self, step: Instruction) -> None:
        if len(step.numbers) >= 2:
            self._letter = (abs(step.numbers[1]) * 400.0, self._letter[1])

    def _do_sr(self, step: Instruction) -> None:
        if len(step.numbers) >= 2:
            high = abs(self._frame.p2[1] - self._frame.p1[1])
            self._letter = (abs(step.numbers[1]) / 100.0 * high, self._letter[1])

    def _do_di(self, step: Instruction) -> None:
        run, rise = step.numbers[:2] if len(step.numbers) >= 2 else (1.0, 0.0)
        if run or rise:
            self._letter = (self._letter[0], math.degrees(math.atan2(rise, run)))

    _do_dr = _do_di

    def _do_lb(self, step: Instruction) -> None:
        self._lift()
        if step.text.strip():
            high, turn = self._letter
            self.labels.append(
                Lettered(step.text, self._pen, self._unit(self._at), high,
                         turn + self._frame.turn)
            )  # fmt: skip


def _circle_through(a: Point, b: Point, c: Point) -> tuple[Point, float] | None:
    """Centre, and the sweep from a over b to c; None where they lie on a line."""
    ax, ay = a[0] - b[0], a[1] - b[1]
    cx, cy = c[0] - b[0], c[1] - b[1]
    cross = 2.0 * (ax * cy - ay * cx)
    if abs(cross) <= 1e-12 * max(ax * ax + ay * ay, cx * cx + cy * cy, 1e-300):
        return None
    p, q = ax * ax + ay * ay, cx * cx + cy * cy
    x, y = b[0] + (cy * p - ay * q) / cross, b[1] + (ax * q - cx * p) / cross
    angles = [math.degrees(math.atan2(s[1] - y, s[0] - x)) for s in (a, b, c)]
    whole = (angles[2] - angles[0]) % 360.0
    via = (angles[1] - angles[0]) % 360.0
    return (x, y), (whole if via <= whole else whole - 360.0)


def faults_total(faults: Faults) -> int:
    """How many things were not understood."""
    return sum(faults.unknown.values()) + faults.junk + len(faults.broken)
