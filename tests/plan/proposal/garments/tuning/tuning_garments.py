"""The garments that tuned the proposal of seams, with their true seams.

A blouse with one-piece sleeve and collar, a darted skirt with waistband, trousers with waistband,
a shirt with yoke, collar, stand and cuffs, a princess bodice, a jacket with two-piece sleeve. Six
sizes each; `variants` draws them in other ways. What these found out went into the weights and the
calibration of `seamwright.plan.proposal`; nothing is judged by them.
The garments that judge were drawn by another hand with other code and lie in `judging`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from garments.tuning.drafting import Drawn, Style, bow, joined, line, solve, xy
from truth import Garment, TrueSeam

from seamwright.geometry import Curve

XY = tuple[float, float]


def garments() -> list[Garment]:
    """All tuning garments."""
    return [blouse(), skirt(), trousers(), shirt(), princess(), jacket()]


Cap = Literal["front", "back"]
Runs = str | Sequence[str]


def _seams(
    style: Style, *rows: tuple[str, Runs, Runs] | tuple[str, Runs, Runs, Cap]
) -> list[TrueSeam]:
    out = []
    for row in rows:
        cap: Cap | None = row[3] if len(row) == 4 else None
        out.append(TrueSeam(row[0], style.runs(row[1]), style.runs(row[2]), cap))
    return out


def _hole(underarm: XY, tip: XY, inset: float) -> Curve:
    """An armhole: level at the underarm, square to the shoulder's tip."""
    (ux, uy), (tx, ty) = underarm, tip
    x = tx - inset
    turn = (x, uy + 0.45 * (ty - uy))
    return joined(
        bow(underarm, (ux - 0.6 * (ux - x), uy), (x, uy + 0.12 * (ty - uy)), turn),
        bow(turn, (x, uy + 0.7 * (ty - uy)), (tx - 4.0, ty - 0.2 * (ty - uy)), tip),
    )


def _cap(half: float, front: float, back: float) -> tuple[Curve, Curve]:
    """Two halves from the underarm points (+half: front, -half: back) to one shoulder point."""

    def halves(height: float, x: float) -> tuple[Curve, Curve]:
        def one(side: float) -> Curve:
            w = side * half - x
            return joined(
                bow((side * half, 0.0), (x + 0.80 * w, 2.0), (x + 0.66 * w, 0.25 * height),
                    (x + 0.55 * w, 0.45 * height)),
                bow((x + 0.55 * w, 0.45 * height), (x + 0.42 * w, 0.69 * height),
                    (x + 0.35 * w, height), (x, height)),
            )  # fmt: skip

        return one(1.0), one(-1.0)

    def height_for(x: float) -> float:
        return solve(lambda h: sum(c.length for c in halves(h, x)) - front - back, 10.0, 400.0)

    x = solve(lambda x: halves(height_for(x), x)[0].length - front, -0.4 * half, 0.4 * half)
    return halves(height_for(x), x)


def _bodice(k: int, *, back: bool, ease: float = 40.0, neck_drop: float = 85.0) -> dict[str, XY]:
    """Points of a half bodice, centre at x = 0, waist at y = 0."""
    bust = 880.0 + 40.0 * k + ease
    slope = 0.30 if back else 0.40
    neck = 72.0 + 2.0 * k
    top = 420.0 + 4.0 * k + (15.0 if back else 8.0)
    shoulder = 122.0 + 1.5 * k
    dx = shoulder / (1 + slope**2) ** 0.5
    return {
        "neck-shoulder": (neck, top),
        "shoulder": (neck + dx, top - slope * dx),
        "underarm": (bust / 4 + (-6.0 if back else 6.0), 205.0 - 1.0 * k),
        "waist-side": (bust / 4 - 15.0, 0.0),
        "neck": (0.0, top - (18.0 if back else neck_drop + 1.5 * k)),
        "waist": (0.0, 0.0),
    }


def _neck(a: XY, b: XY) -> Curve:
    """From the neck point a to the centre b."""
    (ax, ay), (bx, by) = a, b
    return bow(a, (ax - 6.0, ay - 0.62 * (ay - by)), (bx + 0.55 * (ax - bx), by), b)


def blouse() -> Garment:
    def draft(k: int) -> dict[str, Drawn]:
        halves = {}
        for name in ("Back", "Front"):
            p = _bodice(k, back=name == "Back", ease=90.0)
            low = -180.0
            hem = (p["underarm"][0] + 8.0 + k, low)
            x, y = p["underarm"]
            side = joined(
                bow(hem, (hem[0], low + 60), (x - 18, -60), (x - 18, 0.0)),
                bow((x - 18, 0.0), (x - 18, 60), (x - 4, 0.7 * y), (x, y)),
            )
            stand = 0.0 if name == "Back" else -16.0
            n = p["neck"]
            top = (
                joined(_neck(p["neck-shoulder"], n), line(n, (stand, n[1])))
                if stand
                else _neck(p["neck-shoulder"], n)
            )
            halves[name] = Drawn(
                edges={
                    "neck": line((stand, n[1]), (stand, low)),
                    "hem": line((stand, low), hem),
                    "hem-side": side,
                    "underarm": _hole(p["underarm"], p["shoulder"], 18.0 if name == "Back" else 26),
                    "shoulder": line(p["shoulder"], p["neck-shoulder"]),
                    "neck-shoulder": top,
                },
                fold="neck" if name == "Back" else None,
            )
        back, front = halves["Back"], halves["Front"]
        ah_b, ah_f = back.length("underarm"), front.length("underarm")
        back.notches = {"b1": ("underarm", 0.45 * ah_b), "b2": ("underarm", 0.45 * ah_b + 9.0),
                        "w": ("hem-side", 180.0)}  # fmt: skip
        cf = front.length("neck-shoulder") - 16.0
        front.notches = {"f": ("underarm", 0.36 * ah_f), "cf": ("neck-shoulder", cf),
                         "w": ("hem-side", 180.0)}  # fmt: skip
        half = 172.0 + 5.0 * k
        cap_f, cap_b = _cap(half, ah_f + 12.0, ah_b + 15.0)
        wrist = 120.0 + 2.0 * k
        sleeve = Drawn(
            edges={
                "underarm-front": joined(cap_f, cap_b.reversed()),
                "underarm-back": line((-half, 0), (-wrist, -420.0)),
                "wrist-back": line((-wrist, -420.0), (wrist, -420.0)),
                "wrist-front": line((wrist, -420.0), (half, 0.0)),
            },
            notches={
                "f": ("underarm-front", 0.36 * ah_f + 1.0),
                "shoulder": ("underarm-front", cap_f.length),
                "b2": ("underarm-front", cap_f.length + cap_b.length - 0.45 * ah_b - 10.0),
                "b1": ("underarm-front", cap_f.length + cap_b.length - 0.45 * ah_b - 1.0),
            },
        )
        neckline = cf + back.length("neck-shoulder")
        collar = Drawn(
            edges={
                "cb": line((0.0, 70.0), (0.0, 0.0)),
                "low": bow((0.0, 0.0), (0.4 * neckline, 0.0), (0.8 * neckline, 4.0),
                           (0.985 * neckline, 16.0)),
                "front": line((0.985 * neckline, 16.0), (1.02 * neckline, 78.0)),
                "point": bow((1.02 * neckline, 78.0), (0.7 * neckline, 70.0),
                             (0.4 * neckline, 70.0), (0.0, 70.0)),
            },
            fold="cb",
        )  # fmt: skip

        def miss(s: float) -> float:
            c = bow((0.0, 0.0), (0.4 * s, 0.0), (0.8 * s, 4.0), (0.985 * s, 16.0))
            return c.length - neckline

        s = solve(miss, 0.8 * neckline, 1.1 * neckline)
        collar.edges["low"] = bow((0.0, 0.0), (0.4 * s, 0.0), (0.8 * s, 4.0), (0.985 * s, 16.0))
        collar.edges["front"] = line((0.985 * s, 16.0), (1.02 * s, 78.0))
        collar.edges["point"] = bow((1.02 * s, 78.0), (0.7 * s, 70.0), (0.4 * s, 70.0), (0.0, 70.0))
        collar.notches = {"sh": ("low", back.length("neck-shoulder"))}
        return {"Back": back, "Front": front, "Sleeve": sleeve, "Collar": collar}

    s = Style("blouse A", draft, {"Back": (1, 0), "Collar": (2, 0)})
    return s.pattern.name, s.pattern, _seams(
        s,
        ("side", "Front: underarm > hem-side", "Back: underarm > hem-side"),
        ("shoulder", "Front: shoulder > neck-shoulder", "Back: shoulder > neck-shoulder"),
        ("cap front", "Sleeve: underarm-front > shoulder", "Front: underarm > shoulder", "front"),
        ("cap back", "Sleeve: underarm-back > shoulder", "Back: underarm > shoulder", "back"),
        ("sleeve", "Sleeve: underarm-front > wrist-front", "Sleeve: underarm-back > wrist-back"),
        ("collar", "Collar: low > front", ["Back: neck > neck-shoulder",
                                           "Front: neck-shoulder > cf"]),
    )  # fmt: skip


def _waist(k: int, back: bool, hip: float, drop: float, dart: float, at: float) -> list[XY]:
    quarter = hip / 4 + (-8.0 if back else 8.0)
    waist = 0.25 * (700.0 + 40.0 * k) + (-8.0 if back else 8.0) + dart
    return [(0.0, -(12.0 if back else 6.0)), (at, -4.0), (at + dart, -2.0), (waist, 8.0),
            (quarter, -drop)]  # fmt: skip


def skirt() -> Garment:
    def half(k: int, back: bool) -> Drawn:
        dart = (30.0 if back else 20.0) + k
        cb, left, right, side, hip = _waist(k, back, 960.0 + 40 * k, 200.0, dart,
                                            82.0 + 3 * k if back else 90.0 + 3 * k)  # fmt: skip
        tip = ((left[0] + right[0]) / 2, -(135.0 if back else 95.0))
        # The legs are made equal by moving the right end of the mouth up or down.
        leg = line(left, tip).length
        y = solve(lambda y: line(tip, (right[0], y)).length - leg, tip[1], right[1] + 60)
        right = (right[0], y)
        length = -600.0 - 5.0 * k
        hem = (hip[0] + 25.0, length)
        return Drawn(
            edges={
                "waist": line(cb, (0.0, length)),
                "hem": line((0.0, length), hem),
                "hem-side": joined(
                    line(hem, hip),
                    bow(hip, (hip[0] - 5.0, -120.0), (side[0] + 12.0, -50.0), side),
                ),
                "waist-side": bow(side, (side[0] - 25, 4.0), (right[0] + 25, y), right),
                "right": line(right, tip),
                "tip": line(tip, left),
                "left": bow(left, (left[0] - 25, left[1]), (25.0, cb[1]), cb),
            },
            notches={"hip": ("hem-side", line(hem, hip).length)},
            fold=None if back else "waist",
        )

    def draft(k: int) -> dict[str, Drawn]:
        front, back = half(k, False), half(k, True)

        # The back's side seam is as long as the front's: its hem is moved.
        def waist(d: Drawn) -> float:
            return d.length("waist-side") + d.length("left")

        total = 2 * (waist(front) + waist(back))
        diff = front.length("hem-side") - back.length("hem-side")
        hem = back.edges["hem"].end
        low = (float(hem[0]), float(hem[1]) - diff)
        hip = back.edges["hem-side"].joints[1]
        side = back.edges["hem-side"]
        back.edges["hem-side"] = joined(
            line(low, xy(hip)),
            side.part(float(side.cumulative[1]), side.length),
        )
        back.edges["hem"] = line((0.0, low[1]), low)
        back.edges["waist"] = line((0.0, float(back.edges["waist"].start[1])), (0.0, low[1]))
        hip_at = line(low, xy(hip)).length
        back.notches = {"hip": ("hem-side", hip_at)}
        front.notches = {"hip": ("hem-side", front.length("hem-side") - back.length("hem-side")
                                 + hip_at)}  # fmt: skip
        under = 30.0
        band = Drawn(
            edges={
                "a": line((0.0, 0.0), (total + under, 0.0)),
                "b": line((total + under, 0.0), (total + under, 60.0)),
                "c": line((total + under, 60.0), (0.0, 60.0)),
                "d": line((0.0, 60.0), (0.0, 0.0)),
            },
            notches={
                "s1": ("a", waist(back)),
                "cf": ("a", total / 2),
                "s2": ("a", total - waist(back)),
                "end": ("a", total),
            },
        )
        return {"Front": front, "Back": back, "Band": band}

    s = Style("skirt A", draft, {"Front": (1, 0), "Back": (1, 1), "Band": (1, 0)})
    round_ = ["Back: waist > left", "Back: right > waist-side", "Front: waist-side > right",
              "Front: left > waist", "Front: waist > left", "Front: right > waist-side",
              "Back: waist-side > right", "Back: left > waist"]  # fmt: skip
    return (
        s.pattern.name,
        s.pattern,
        _seams(
            s,
            ("side", "Front: waist-side > hem-side", "Back: waist-side > hem-side"),
            ("centre back", "Back: waist > hem", "Back: waist > hem"),
            ("front dart", "Front: left > tip", "Front: right > tip"),
            ("back dart", "Back: left > tip", "Back: right > tip"),
            ("band", "Band: a > end", round_),
        ),
    )


def trousers() -> Garment:
    def draft(k: int) -> dict[str, Drawn]:
        out = {}
        rise, inseam = 270.0 + 3.0 * k, 760.0 + 4.0 * k
        for name in ("Front", "Back"):
            is_back = name == "Back"
            quarter = (960.0 + 40 * k) / 4 + (14.0 if is_back else -6.0)
            fork = (105.0 if is_back else 48.0) + (3.0 if is_back else 1.5) * k
            waist = (740.0 + 40 * k) / 4 + (6.0 if is_back else -6.0)
            lean = 35.0 if is_back else 8.0
            crotch, hem = (-fork, 0.0), 112.0 + k + (8.0 if is_back else -8.0)
            mid = quarter / 2 - 5.0
            side_top = (quarter - 14.0, rise)
            cw = (side_top[0] - waist, rise + (22.0 if is_back else -4.0))
            hip = (quarter, rise - 190.0)
            knee = -330.0
            in_knee = (mid - hem - 6.0, knee)
            out_knee = (mid + hem + 6.0, knee)
            out[name] = Drawn(
                edges={
                    "waist-centre": joined(
                        bow(cw, (cw[0] - 0.3 * lean, 150.0), (8.0, 120.0), (0.0, 75.0)),
                        bow((0.0, 75.0), (-6.0, 30.0), (-0.5 * fork, 6.0), crotch),
                    ),
                    "crotch": joined(
                        bow(crotch, (-fork + 25, -70.0), (in_knee[0] + 2, -200.0), in_knee),
                        line(in_knee, (mid - hem, -inseam)),
                    ),
                    "hem-in": line((mid - hem, -inseam), (mid + hem, -inseam)),
                    "hem-out": joined(
                        line((mid + hem, -inseam), out_knee),
                        bow(out_knee, (out_knee[0] + 5, -150.0), (quarter + 2, 0.0), hip),
                        bow(hip, (quarter, hip[1] + 60), (quarter - 6, rise - 70.0), side_top),
                    ),
                    "waist-side": line(side_top, cw),
                },
            )
        front, back = out["Front"], out["Back"]
        # Side and inside leg of the back are made as long as the front's by the fork and waist.
        front.notches = _knees(front)
        for edge, at in (("crotch", "start"), ("hem-out", "end")):
            wanted = front.length(edge)
            curve = back.edges[edge]

            def moved(dy: float, curve: Curve = curve, at: str = at) -> Curve:
                segs = curve.segments.copy()
                if at == "start":
                    segs[0, :2, 1] += dy
                else:
                    segs[-1, 2:, 1] += dy
                return Curve.from_segments(segs, curve.kinds)

            def miss(t: float, wanted: float = wanted) -> float:
                return moved(t).length - wanted

            dy = solve(miss, -60.0, 60.0)
            back.edges[edge] = moved(dy)
        rise_curve = back.edges["waist-centre"].segments.copy()
        rise_curve[-1, 3] = back.edges["crotch"].start
        back.edges["waist-centre"] = Curve.from_segments(rise_curve)
        back.edges["waist-side"] = line(
            xy(back.edges["hem-out"].end),
            xy(back.edges["waist-centre"].start),
        )
        back.notches = _knees(back)
        total = front.length("waist-side") + back.length("waist-side")
        band = Drawn(
            edges={
                "a": line((0.0, 0.0), (total, 0.0)),
                "b": line((total, 0.0), (total, 40.0)),
                "c": line((total, 40.0), (0.0, 40.0)),
                "d": line((0.0, 40.0), (0.0, 0.0)),
            },
            notches={"side": ("a", front.length("waist-side"))},
            fold="b",
        )
        return {"Front": front, "Back": back, "Band": band}

    s = Style("trousers A", draft, {"Band": (1, 0)})
    return s.pattern.name, s.pattern, _seams(
        s,
        ("side", "Front: waist-side > hem-out", "Back: waist-side > hem-out"),
        ("inside leg", "Front: crotch > hem-in", "Back: crotch > hem-in"),
        ("front rise", "Front: waist-centre > crotch", "Front: waist-centre > crotch"),
        ("back rise", "Back: waist-centre > crotch", "Back: waist-centre > crotch"),
        ("band", "Band: a > b", ["Front: waist-centre > waist-side",
                                 "Back: waist-side > waist-centre"]),
    )  # fmt: skip


def _knees(leg: Drawn) -> dict[str, tuple[str, float]]:
    inner, outer = leg.edges["crotch"], leg.edges["hem-out"]
    return {
        "knee": ("crotch", float(inner.segment_lengths[0])),
        "knee-out": ("hem-out", float(outer.segment_lengths[0])),
    }


def shirt() -> Garment:
    def draft(k: int) -> dict[str, Drawn]:
        pf, pb = _bodice(k, back=False, ease=180.0), _bodice(k, back=True, ease=180.0)
        drop, low = 70.0, -300.0
        out: dict[str, Drawn] = {}
        # Front, its shoulder lowered by 30 mm: that strip belongs to the yoke.
        f_neck = (pf["neck-shoulder"][0] + 6.0, pf["neck-shoulder"][1] - 30.0)
        f_tip = (pf["shoulder"][0] + 20.0, pf["shoulder"][1] - 34.0)
        stand = -15.0
        hem_f = (pf["underarm"][0], low)
        out["Front"] = Drawn(
            edges={
                "neck": line((stand, pf["neck"][1]), (stand, low - 20.0)),
                "hem": bow((stand, low - 20), (100.0, low - 20), (180.0, low - 20), hem_f),
                "hem-side": line(hem_f, pf["underarm"]),
                "underarm": _hole(pf["underarm"], f_tip, 12.0),
                "shoulder": line(f_tip, f_neck),
                "neck-shoulder": joined(_neck(f_neck, pf["neck"]),
                                        line(pf["neck"], (stand, pf["neck"][1]))),
            },
        )  # fmt: skip
        # Back below the yoke: 8 mm of a pleat are not drawn; its top is as wide as the yoke.
        b_top = pb["shoulder"][1] - drop
        b_tip = (pb["shoulder"][0] + 12.0, b_top)
        hem_b = (pb["underarm"][0], pb["underarm"][1] - (pf["underarm"][1] - low))
        x, y = pb["underarm"]
        hole_b = bow((x, y), (x - 34.0, y), (b_tip[0] - 3.0, y + 25.0), b_tip)
        out["Back"] = Drawn(
            edges={
                "top": line((0.0, b_top), (0.0, hem_b[1] - 20.0)),
                "hem": bow((0.0, hem_b[1] - 20), (100, hem_b[1] - 20), (170, hem_b[1] - 20), hem_b),
                "hem-side": line(hem_b, pb["underarm"]),
                "underarm": hole_b,
                "shoulder": line(b_tip, (0.0, b_top)),
            },
            fold="top",
        )
        # Yoke, drawn whole: neck, front edges as long as the fronts' shoulders, armholes.
        width = f_length = out["Front"].length("shoulder")
        nx, ny = pb["neck-shoulder"]
        end = (nx + width * 0.93, ny - width * (1 - 0.93**2) ** 0.5)
        yoke_end = (b_tip[0], b_top)
        arm = bow(yoke_end, (yoke_end[0] + 1, b_top + 25), (end[0] - 3, end[1] - 20), end)
        neck = bow((nx, ny), (nx - 5, ny - 16), (nx * 0.5, ny - 18), (0.0, ny - 18))
        m = [[-1.0, 0.0, 0.0], [0.0, 1.0, 0.0]]
        out["Yoke"] = Drawn(
            edges={
                "low-left": line((-yoke_end[0], b_top), yoke_end),
                "low-right": arm,
                "tip-right": line(end, (nx, ny)),
                "neck-right": joined(neck, neck.transformed(m).reversed()),
                "neck-left": line((-nx, ny), (-end[0], end[1])),
                "tip-left": arm.transformed(m).reversed(),
            },
            notches={"cb": ("low-left", 0.5)},
        )
        assert abs(out["Yoke"].length("tip-right") - f_length) < 1e-6
        cf = out["Front"].length("neck-shoulder") + stand
        out["Front"].notches = {"cf": ("neck-shoulder", cf), "f": ("underarm", 0.4)}
        ah_f = out["Front"].length("underarm")
        ah_b = out["Yoke"].length("low-right") + out["Back"].length("underarm")
        half = 200.0 + 6 * k
        cap_f, cap_b = _cap(half, ah_f + 5.0, ah_b + 6.0)
        wrist = 125.0 + 2 * k
        out["Sleeve"] = Drawn(
            edges={
                "underarm-front": joined(cap_f, cap_b.reversed()),
                "underarm-back": line((-half, 0), (-wrist, -480.0)),
                "wrist-back": line((-wrist, -480.0), (wrist, -480.0)),
                "wrist-front": line((wrist, -480.0), (half, 0.0)),
            },
            notches={
                "f": ("underarm-front", 0.4 * ah_f + 1.0),
                "shoulder": ("underarm-front", cap_f.length),
            },
        )
        cuff = 2 * wrist
        out["Cuff"] = Drawn(
            edges={
                "a": line((0.0, 0.0), (cuff, 0.0)),
                "b": line((cuff, 0.0), (cuff, 65.0)),
                "c": line((cuff, 65.0), (0.0, 65.0)),
                "d": line((0.0, 65.0), (0.0, 0.0)),
            },
        )
        front_neck = out["Front"].length("neck-shoulder")
        round_ = 2 * front_neck + out["Yoke"].length("neck-right")

        def band(w: float) -> Curve:
            return joined(bow((-w, 14.0), (-0.7 * w, 2.0), (-0.3 * w, 0.0), (0.0, 0.0)),
                          bow((0.0, 0.0), (0.3 * w, 0.0), (0.7 * w, 2.0), (w, 14.0)))  # fmt: skip

        w = solve(lambda w: band(w).length - round_, 0.3 * round_, 0.6 * round_)
        inner = w - 15.0
        out["Stand"] = Drawn(
            edges={
                "low-left": band(w),
                "low-right": bow((w, 14.0), (w - 2.0, 30.0), (inner, 40.0), (inner - 6.0, 40.0)),
                "top-right": joined(
                    bow((inner - 6, 40.0), (0.6 * inner, 34.0), (0.3 * inner, 32.0), (0.0, 32.0)),
                    bow((0.0, 32.0), (-0.3 * inner, 32), (-0.6 * inner, 34), (6 - inner, 40.0)),
                ),
                "top-left": bow((6 - inner, 40.0), (-inner, 40.0), (2.0 - w, 30.0), (-w, 14.0)),
            },
            notches={
                "s1": ("low-left", front_neck),
                "s2": ("low-left", round_ - front_neck),
            },
        )
        top = out["Stand"].length("top-right")
        u = 0.5 * top

        def under(u: float) -> Curve:
            return joined(bow((-u, 6.0), (-0.6 * u, 10), (-0.3 * u, 14), (0.0, 14.0)),
                          bow((0.0, 14.0), (0.3 * u, 14), (0.6 * u, 10), (u, 6.0)))  # fmt: skip

        u = solve(lambda u: under(u).length - top, 0.3 * top, 0.55 * top)
        out["Collar"] = Drawn(
            edges={
                "low-left": under(u),
                "low-right": line((u, 6.0), (u + 12.0, 72.0)),
                "out-right": bow((u + 12, 72), (0.5 * u, 60), (-0.5 * u, 60), (-u - 12, 72.0)),
                "out-left": line((-u - 12.0, 72.0), (-u, 6.0)),
            },
            notches={"cb": ("low-left", 0.5)},
        )
        return out

    s = Style("shirt A", draft, {"Back": (1, 0), "Yoke": (2, 0), "Collar": (2, 0),
                                 "Stand": (2, 0), "Cuff": (2, 2)})  # fmt: skip
    return s.pattern.name, s.pattern, _seams(
        s,
        ("side", "Front: underarm > hem-side", "Back: underarm > hem-side"),
        ("yoke front", "Front: shoulder > neck-shoulder", "Yoke: tip-right > neck-right"),
        ("yoke back", "Yoke: low-left > low-right",
         ["Back: shoulder > top", "Back: top > shoulder"]),
        ("cap front", "Sleeve: underarm-front > shoulder", "Front: underarm > shoulder", "front"),
        ("cap back", "Sleeve: underarm-back > shoulder",
         ["Back: underarm > shoulder", "Yoke: low-right > tip-right"], "back"),
        ("sleeve", "Sleeve: underarm-front > wrist-front", "Sleeve: underarm-back > wrist-back"),
        ("cuff", "Cuff: a > b", "Sleeve: wrist-back > wrist-front"),
        ("stand", "Stand: low-left > low-right",
         ["Front: neck > neck-shoulder", "Yoke: neck-left > neck-right",
          "Front: neck-shoulder > neck"]),
        ("collar", "Collar: low-left > low-right", "Stand: top-left > top-right"),
    )  # fmt: skip


def princess() -> Garment:
    def draft(k: int) -> dict[str, Drawn]:
        out: dict[str, Drawn] = {}
        sides = {}
        for name in ("Back", "Front"):
            back = name == "Back"
            p = _bodice(k, back=back, ease=50.0)
            hole = _hole(p["underarm"], p["shoulder"], 14.0)
            cut = 0.58 * hole.length
            at = xy(hole.point_at(cut))
            apex = (92.0 + 3 * k, 165.0)
            at_waist = (70.0 if back else 81.0) + 2 * k
            gap = 16.0 if back else 22.0
            centre = joined(
                bow(at, (at[0] - 18.0, at[1] - 8), (apex[0] + 6, apex[1] + 45), apex),
                bow(apex, (apex[0] - 3, apex[1] - 60), (at_waist + 4, 70.0), (at_waist, 0.0)),
            )
            out[f"{name} centre"] = Drawn(
                edges={
                    "neck": line(p["neck"], p["waist"]),
                    "waist": line(p["waist"], (at_waist, 0.0)),
                    "waist-panel": centre.reversed(),
                    "panel": hole.part(cut, hole.length),
                    "shoulder": line(p["shoulder"], p["neck-shoulder"]),
                    "neck-shoulder": _neck(p["neck-shoulder"], p["neck"]),
                },
                fold=None if back else "neck",
            )

            def side(
                bulge: float,
                p: dict[str, XY] = p,
                at: XY = at,
                apex: XY = apex,
                w: float = at_waist,
                gap: float = gap,
            ) -> Curve:
                return joined(
                    bow(at, (at[0] - 8.0, at[1] - 12), (apex[0] + 4 - bulge, apex[1] + 40),
                        (apex[0] + 2 - bulge, apex[1])),
                    bow((apex[0] + 2 - bulge, apex[1]), (apex[0] - bulge, apex[1] - 50),
                        (w + gap - 6, 60.0), (w + gap, 0.0)),
                )  # fmt: skip

            wanted_long = centre.length

            def miss(b: float, wanted: float = wanted_long) -> float:
                return side(b).length - wanted

            bulge = solve(miss, -60.0, 60.0)
            seam = side(bulge)
            low = (p["waist-side"][0] + gap, 0.0)
            sides[name] = line(low, p["underarm"])
            out[f"{name} side"] = Drawn(
                edges={
                    "panel": seam,
                    "waist-panel": line((at_waist + gap, 0.0), low),
                    "waist-side": sides[name],
                    "underarm": hole.part(0.0, cut),
                },
            )
            out[f"{name} centre"].notches = {
                "bust": ("waist-panel", centre.length - float(centre.cumulative[1]))
            }
            out[f"{name} side"].notches = {"bust": ("panel", float(seam.cumulative[1]))}
        # Side seams alike: the back's waist corner slides along x.
        under = _bodice(k, back=True, ease=50.0)["underarm"]
        wanted = sides["Front"].length
        x = solve(lambda x: line((x, 0.0), under).length - wanted, under[0] - 150.0, under[0])
        side_piece = out["Back side"]
        start = xy(side_piece.edges["waist-panel"].start)
        side_piece.edges["waist-panel"] = line(start, (x, 0.0))
        side_piece.edges["waist-side"] = line((x, 0.0), under)
        return out

    s = Style("princess A", draft, {"Front centre": (1, 0)})
    return s.pattern.name, s.pattern, _seams(
        s,
        ("shoulder", "Front centre: shoulder > neck-shoulder",
         "Back centre: shoulder > neck-shoulder"),
        ("side", "Front side: underarm > waist-side", "Back side: underarm > waist-side"),
        ("centre back", "Back centre: neck > waist", "Back centre: neck > waist"),
        ("front panel", "Front centre: panel > waist-panel", "Front side: panel > waist-panel"),
        ("back panel", "Back centre: panel > waist-panel", "Back side: panel > waist-panel"),
    )  # fmt: skip


def jacket() -> Garment:
    """Two-piece sleeve with a seam in front and one behind, facing, collar, centre back seam."""

    def draft(k: int) -> dict[str, Drawn]:
        out: dict[str, Drawn] = {}
        low = -230.0
        for name in ("Back", "Front"):
            p = _bodice(k, back=name == "Back", ease=110.0, neck_drop=120.0)
            x, y = p["underarm"]
            hem = (x + 6.0, low)
            side = bow(hem, (x + 4, -60.0), (x - 22.0, 30.0), (x, y))
            if name == "Back":
                cb = bow(p["neck"], (0.0, 200.0), (12.0, 100.0), (14.0, low))
                out[name] = Drawn(
                    edges={
                        "neck": cb,
                        "hem": line((14.0, low), hem),
                        "hem-side": side,
                        "underarm": _hole(p["underarm"], p["shoulder"], 16.0),
                        "shoulder": line(p["shoulder"], p["neck-shoulder"]),
                        "neck-shoulder": _neck(p["neck-shoulder"], p["neck"]),
                    }
                )
                continue
            n = p["neck"]
            lapel, roll = (-70.0, n[1] + 10.0), (-25.0, 60.0)
            front = joined(
                bow(lapel, (-62.0, 200.0), (-40.0, 120.0), roll),
                line(roll, (-25.0, low + 40)),
                bow((-25.0, low + 40), (-25.0, low), (0.0, low - 6), (40.0, low - 6)),
            )
            out[name] = Drawn(
                edges={
                    "lapel": front,
                    "hem": bow((40.0, low - 6), (120.0, low - 6), (170.0, low), hem),
                    "hem-side": side,
                    "underarm": _hole(p["underarm"], p["shoulder"], 26.0),
                    "shoulder": line(p["shoulder"], p["neck-shoulder"]),
                    "neck-shoulder": _neck(p["neck-shoulder"], n),
                    "neck": line(n, lapel),
                },
            )
            out[name].notches["roll"] = ("lapel", float(front.segment_lengths[0]))
            nx, ny = p["neck-shoulder"]
            out["Facing"] = Drawn(
                edges={
                    "lapel": front,
                    "hem": line((40.0, low - 6), (75.0, low - 4)),
                    "inner": bow((75.0, low - 4), (70.0, 0.0), (75.0, 250.0), (nx + 40, ny - 16)),
                    "shoulder": line((nx + 40.0, ny - 16.0), (nx, ny)),
                    "neck-shoulder": _neck(p["neck-shoulder"], n),
                    "neck": line(n, lapel),
                },
                notches={"roll": ("lapel", float(front.segment_lengths[0]))},
            )
        back, front_ = out["Back"], out["Front"]
        ah_b, ah_f = back.length("underarm"), front_.length("underarm")
        back.notches = {"b1": ("underarm", 0.5 * ah_b), "b2": ("underarm", 0.5 * ah_b + 9.0)}
        front_.notches["f"] = ("underarm", 0.3 * ah_f)
        half = 180.0 + 5 * k
        cap_f, cap_b = _cap(half, ah_f + 15.0, ah_b + 18.0)
        cut_f, cut_b = 75.0 + k, 95.0 + k
        pf, pb = xy(cap_f.point_at(cut_f)), xy(cap_b.point_at(cut_b))
        long = 560.0 + 4 * k
        wf, wb = (pf[0] - 20.0, -long + 80.0), (pb[0] + 25.0, -long + 70.0)
        out["Top"] = Drawn(
            edges={
                "front": joined(
                    cap_f.part(cut_f, cap_f.length), cap_b.part(cut_b, cap_b.length).reversed()
                ),
                "back": bow(pb, (pb[0] - 14.0, -100.0), (pb[0] - 10.0, -300.0), wb),
                "wrist-back": line(wb, wf),
                "wrist-front": bow(wf, (pf[0] - 24, -300.0), (pf[0] - 24.0, -100.0), pf),
            },
            notches={
                "shoulder": ("front", cap_f.length - cut_f),
                "b1": ("front", cap_f.length - cut_f + cap_b.length - 0.5 * ah_b - 10.0),
                "b2": ("front", cap_f.length - cut_f + cap_b.length - 0.5 * ah_b - 1.0),
            },
        )
        shift_f, shift_b = ([[1.0, 0.0, x], [0.0, 1.0, 0.0]] for x in (-half, half))
        uf = cap_f.part(0.0, cut_f).transformed(shift_f)
        ub = cap_b.part(0.0, cut_b).transformed(shift_b)
        # The under sleeve is the mirror image: its front lies on the left.
        qf, qb = xy(uf.end), xy(ub.end)
        top = out["Top"]
        s_f = bow(qf, (qf[0] - 24, -100.0), (qf[0] - 24.0, -300.0), (qf[0] - 20.0, -long + 80))

        def hind(dx: float) -> Curve:
            return bow(
                qb, (qb[0] - 8.0, -100.0), (qb[0] - 4.0, -300.0), (qb[0] + 25.0, -long + 70.0 + dx)
            )

        wanted = top.length("back") - 4.0
        dx = solve(lambda t: hind(t).length - wanted, -60.0, 60.0)
        out["Under"] = Drawn(
            edges={
                "front": s_f,
                "wrist-front": line(xy(s_f.end), xy(hind(dx).end)),
                "wrist-back": hind(dx).reversed(),
                "back": joined(ub.reversed(), uf),
            },
            notches={"underarm": ("back", ub.length)},
        )
        neckline = back.length("neck-shoulder") + front_.length("neck-shoulder")
        out["Collar"] = Drawn(
            edges={
                "cb": line((0.0, 75.0), (0.0, 0.0)),
                "low": line((0.0, 0.0), (neckline, 0.0)),
                "front": line((neckline, 0.0), (neckline - 10.0, 60.0)),
                "out": bow((neckline - 10, 60.0), (130.0, 82.0), (60.0, 75.0), (0.0, 75.0)),
            },
            notches={"sh": ("low", back.length("neck-shoulder"))},
            fold="cb",
        )
        return out

    s = Style("jacket A", draft, {"Collar": (2, 0)})
    return s.pattern.name, s.pattern, _seams(
        s,
        ("side", "Front: underarm > hem-side", "Back: underarm > hem-side"),
        ("shoulder", "Front: shoulder > neck-shoulder", "Back: shoulder > neck-shoulder"),
        ("centre back", "Back: neck > hem", "Back: neck > hem"),
        ("sleeve front", "Top: front > wrist-front", "Under: front > wrist-front"),
        ("sleeve behind", "Top: back > wrist-back", "Under: back > wrist-back"),
        ("cap front", ["Under: underarm > front", "Top: front > shoulder"],
         "Front: underarm > shoulder", "front"),
        ("cap back", ["Under: underarm > back", "Top: back > shoulder"],
         "Back: underarm > shoulder", "back"),
        ("facing", "Facing: lapel > hem", "Front: lapel > hem"),
        ("collar", "Collar: low > front",
         ["Back: neck > neck-shoulder", "Front: neck-shoulder > neck"]),
    )  # fmt: skip
