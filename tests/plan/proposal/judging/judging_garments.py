"""Six garments with their true seams, for judging the proposal of seams; see `judging_drafting`."""

from __future__ import annotations

from judging.judging_drafting import Draft, Drafts, Truth, made, solved
from truth import Garment


def garments() -> list[Garment]:
    """Blouse, shirt, princess bodice, skirt, trousers, jacket."""
    return [
        made("blouse", blouse, blouse_seams),
        made("shirt", shirt, shirt_seams),
        made("princess bodice", princess, princess_seams),
        made("darted skirt", skirt, skirt_seams),
        made("trousers", trousers, trousers_seams),
        made("jacket", jacket, jacket_seams),
    ]


# -- parts that several garments have ---------------------------------


def _front(k: int, *, opening: float = 20.0, length: float = 600.0, loose: float = 0.0) -> Draft:
    """Centre at x = 0, side to the right, hem at y = 0; drawn clockwise from the neck point."""
    bust = 238.0 + 10.0 * k + loose
    top, arm = length + 45.0 + 1.5 * k, length - 180.0 - 2.0 * k
    neck, drop = 68.0 + 2.0 * k, 82.0 + 1.5 * k
    tip = (neck + 118.0 + 3.0 * k, top - 46.0 - 0.5 * k)
    return Draft(
        corners={
            "neck": (neck, top),
            "shoulder": tip,
            "underarm": (bust, arm),
            "hem-side": (bust - 6.0, 12.0),
            "hem": (-opening, 0.0),
            "throat": (-opening, top - drop),
        },
        bends={
            "shoulder": (
                (tip[0] - 22.0, tip[1] - 78.0),
                (tip[0] - 8.0 - k, arm + 3.0),
            ),
            "underarm": ((bust - 22.0, arm - 140.0), (bust - 16.0, arm - 240.0)),
            "hem-side": ((bust - 90.0, 2.0), (60.0, 0.0)),
            "throat": ((20.0, top - drop - 2.0), (neck - 6.0, top - 52.0)),
        },
        notches=[("shoulder", 0.58, False), ("underarm", 0.45, False)],
        quantity=(1, 1),
    )


def _back(k: int, *, length: float = 600.0, loose: float = 0.0) -> Draft:
    """Centre on the fold at x = 0, side to the left."""
    bust = 232.0 + 10.0 * k + loose
    top, arm = length + 58.0 + 2.0 * k, length - 180.0 - 2.0 * k
    neck, drop = 70.0 + 2.0 * k, 21.0 + 0.3 * k
    reach = 118.0 + 3.0 * k
    rise = 46.0 + 0.5 * k
    tip = (-(neck + reach), top - rise)
    return Draft(
        corners={
            "nape": (0.0, top - drop),
            "neck": (-neck, top),
            "shoulder": tip,
            "underarm": (-bust, arm),
            "hem-side": (-(bust - 6.0), 12.0),
            "hem": (0.0, 0.0),
        },
        bends={
            "nape": ((-38.0, top - drop), (-neck + 8.0, top - 12.0)),
            "shoulder": (
                (tip[0] + 12.0, tip[1] - 92.0),
                (tip[0] + 2.0 + k, arm + 8.0),
            ),
            "underarm": ((-bust + 22.0, arm - 140.0), (-bust + 16.0, arm - 240.0)),
            "hem-side": ((-bust + 90.0, 2.0), (-60.0, 0.0)),
        },
        notches=[("shoulder", 0.55, True), ("underarm", 0.45, False)],
        fold="hem",
        quantity=(1, 0),
    )


def _sleeve(
    k: int, front: float, back: float, *, ease: float, length: float, wrist: float
) -> Draft:
    """front, back: what the cap is sewn to on either side. The front half lies to the right."""
    bicep = 330.0 + 12.0 * k
    share = 0.51

    def drawn(height: float, top: float) -> Draft:
        left, right = -bicep * share, bicep * (1 - share)
        return Draft(
            corners={
                "underarm-back": (left, 0.0),
                "crown": (top, height),
                "underarm-front": (right, 0.0),
                "wrist-front": (wrist / 2, -length),
                "wrist-back": (-wrist / 2, -length),
            },
            bends={
                "underarm-back": ((left * 0.45, 12.0), (top - bicep * 0.26, height)),
                "crown": ((top + bicep * 0.22, height), (right * 0.55, -4.0)),
            },
            notches=[
                ("underarm-back", 0.42, True),
                ("crown", 0.56, False),
                ("crown", 0.0, False),
                ("underarm-front", 0.4, False),
            ],
            quantity=(1, 1),
        )

    whole = front + back + ease
    height = solved(whole, lambda h: drawn(h, 0.0).length("underarm-back", "crown"), 60.0, 260.0)
    # The crown moves sideways until each half holds its share of the ease.
    top = solved(
        back + ease * 0.55, lambda t: drawn(height, t).length("underarm-back"), -60.0, 60.0
    )
    height = solved(whole, lambda h: drawn(h, top).length("underarm-back", "crown"), 60.0, 260.0)
    return drawn(height, top)


def _band(length: float, width: float, *, quantity: tuple[int, int] = (1, 0)) -> Draft:
    return Draft(
        corners={
            "a": (0.0, 0.0), "b": (length, 0.0), "c": (length, width), "d": (0.0, width),
        },
        quantity=quantity,
    )  # fmt: skip


# -- a blouse with a one-piece sleeve ---------------------------------


def blouse(k: int) -> Drafts:
    front, back = _front(k), _back(k)
    arm_f, arm_b = front.length("shoulder"), back.length("shoulder")
    sleeve = _sleeve(k, arm_f, arm_b, ease=26.0, length=430.0 + 4.0 * k, wrist=230.0 + 6.0 * k)
    neckline = front.length("throat") - 20.0 + back.length("nape")
    # Half a collar, on the fold at its left; it ends 20 mm before the front's edge.
    collar = Draft(
        corners={
            "fold": (0.0, 0.0),
            "end": (neckline, 8.0),
            "tip": (neckline + 14.0, 74.0),
            "top": (0.0, 70.0),
        },
        fold="top",
        quantity=(2, 0),
    )
    front.corners = {
        **{n: front.corners[n] for n in ("neck", "shoulder", "underarm", "hem-side", "hem")},
        "lapel": front.corners["throat"],
        "throat": (0.0, front.corners["throat"][1]),
    }
    front.bends["throat"] = ((28.0, front.corners["throat"][1]), front.bends["throat"][1])
    length = front.length("throat") + back.length("nape")
    collar.corners["end"] = (length, 0.0)
    collar.corners["tip"] = (length + 14.0, 70.0)
    cuff = _band(230.0 + 6.0 * k - 24.0, 60.0, quantity=(2, 0))
    return {"Front": front, "Back": back, "Sleeve": sleeve, "Collar": collar, "Cuff": cuff}


def blouse_seams(t: Truth) -> None:
    t.seam("shoulder", "Front: neck > shoulder", "Back: neck > shoulder")
    t.seam("side", "Front: underarm > hem-side", "Back: underarm > hem-side")
    t.seam("cap, front", "Sleeve: underarm-front > crown", "Front: underarm > shoulder", "front")
    t.seam("cap, back", "Sleeve: underarm-back > crown", "Back: underarm > shoulder", "back")
    t.seam("underarm", "Sleeve: underarm-front > wrist-front", "Sleeve: underarm-back > wrist-back")
    t.seam("collar", "Collar: fold > end", ["Back: nape > neck", "Front: neck > throat"])
    t.seam("cuff", "Cuff: a > b", "Sleeve: wrist-back > wrist-front")


# -- a shirt with yoke, collar and stand ---------------------------------


def shirt(k: int) -> Drafts:
    front = _front(k, opening=18.0, length=700.0, loose=24.0)
    plain = _back(k, length=700.0, loose=24.0)
    nape, tip = plain.corners["nape"], plain.corners["shoulder"]
    low = tip[1] - 70.0
    arm = plain.edge("shoulder")
    cut = float(arm.length) * 0.36
    head, tail = arm.split([cut])
    place = head.point_at(float(head.length))
    at = (float(place[0]), float(place[1]))
    upper, lower = head.segments[0], tail.segments[0]
    yoke = Draft(
        corners={
            "nape": nape,
            "neck": plain.corners["neck"],
            "shoulder": tip,
            "armhole": at,
            "centre": (0.0, low),
        },
        bends={
            "nape": plain.bends["nape"],
            "shoulder": (tuple(upper[1]), tuple(upper[2])),
            "armhole": ((at[0] + 60.0, low + 1.0), (-50.0, low)),
        },
        fold="centre",
        quantity=(2, 0),
    )
    pleat = 16.0 + k * 0.0
    back = Draft(
        corners={
            "centre": (pleat, low),
            "armhole": at,
            "underarm": plain.corners["underarm"],
            "hem-side": plain.corners["hem-side"],
            "hem": (pleat, 0.0),
        },
        bends={
            "centre": ((-50.0, low), (at[0] + 60.0, low + 1.0)),
            "armhole": (tuple(lower[1]), tuple(lower[2])),
            "underarm": plain.bends["underarm"],
            "hem-side": plain.bends["hem-side"],
        },
        notches=[("armhole", 0.4, True), ("underarm", 0.45, False)],
        fold="hem",
        quantity=(1, 0),
    )
    arm_f = front.length("shoulder")
    arm_b = yoke.length("shoulder") + back.length("armhole")
    sleeve = _sleeve(k, arm_f, arm_b, ease=9.0, length=520.0 + 4.0 * k, wrist=290.0 + 6.0 * k)
    neck = yoke.length("nape") + front.length("throat")
    stand = Draft(
        corners={
            "fold": (0.0, 0.0), "end": (neck, 0.0), "knob": (neck - 4.0, 30.0),
            "collar": (neck - 18.0, 32.0), "top": (0.0, 32.0),
        },
        bends={"end": ((neck + 6.0, 12.0), (neck + 4.0, 26.0))},
        fold="top",
        quantity=(2, 0),
    )  # fmt: skip
    collar = Draft(
        corners={
            "fold": (0.0, 0.0), "end": (neck - 18.0, 0.0), "tip": (neck + 12.0, 66.0),
            "top": (0.0, 44.0),
        },
        fold="top",
        quantity=(2, 0),
    )  # fmt: skip
    cuff = _band(240.0 + 6.0 * k, 66.0, quantity=(2, 2))
    pocket = Draft(
        corners={
            "a": (0.0, 0.0), "b": (105.0, 0.0), "c": (105.0, -110.0), "d": (52.0, -135.0),
            "e": (0.0, -110.0),
        },
        quantity=(1, 0),
    )  # fmt: skip
    return {
        "Front": front, "Back": back, "Yoke": yoke, "Sleeve": sleeve, "Stand": stand,
        "Collar": collar, "Cuff": cuff, "Pocket": pocket,
    }  # fmt: skip


def shirt_seams(t: Truth) -> None:
    t.seam("shoulder", "Front: neck > shoulder", "Yoke: neck > shoulder")
    t.seam("yoke to back", "Back: armhole > centre", "Yoke: armhole > centre")
    t.seam("side", "Front: underarm > hem-side", "Back: underarm > hem-side")
    t.seam("cap, front", "Sleeve: underarm-front > crown", "Front: underarm > shoulder", "front")
    t.seam(
        "cap, back",
        "Sleeve: underarm-back > crown",
        ["Back: underarm > armhole", "Yoke: armhole > shoulder"],
        "back",
    )
    t.seam("underarm", "Sleeve: underarm-front > wrist-front", "Sleeve: underarm-back > wrist-back")
    t.seam("stand to neck", "Stand: fold > end", ["Yoke: nape > neck", "Front: neck > throat"])
    t.seam("collar to stand", "Collar: fold > end", "Stand: top > collar")
    t.seam("cuff", "Cuff: a > b", "Sleeve: wrist-back > wrist-front")


# -- a princess-seam bodice ---------------------------------


def princess(k: int) -> Drafts:
    """Panels to the waist; the seams run from the shoulders over bust and blades."""
    bust, waist = 236.0 + 10.0 * k, 172.0 + 9.0 * k
    top, arm = 430.0 + 1.5 * k, 205.0 - 2.0 * k
    neck, drop = 74.0 + 2.0 * k, 118.0
    tip = (neck + 112.0 + 3.0 * k, top - 42.0)
    mid = (neck + 52.0 + 1.2 * k, top - 42.0 * (52.0 + 1.2 * k) / (112.0 + 3.0 * k))
    at = 92.0 + 3.0 * k
    seam = 0.0

    def panel(w: float, out: float) -> tuple[tuple[float, float], tuple[float, float]]:
        return (mid[0] - 8.0, mid[1] - 150.0), (w + out, 120.0)

    centre = Draft(
        corners={
            "neck": (neck, top), "mid": mid, "waist": (at, 0.0), "fold": (0.0, 0.0),
            "throat": (0.0, top - drop),
        },
        bends={
            "mid": panel(at, 26.0),
            "throat": ((30.0, top - drop), (neck - 6.0, top - 70.0)),
        },
        notches=[("mid", 0.45, False), ("mid", 0.62, False)],
        fold="fold",
        quantity=(1, 0),
    )  # fmt: skip
    long = centre.length("mid")

    def side(lift: float) -> Draft:
        shift = 40.0
        foot = at + 14.0 + shift
        end = foot + (waist - at)
        return Draft(
            corners={
                "mid": (mid[0] + shift, mid[1]),
                "shoulder": (tip[0] + shift, tip[1]),
                "underarm": (bust + 26.0 + shift, arm),
                "waist-side": (end, 4.0),
                "waist": (foot, 0.0),
            },
            bends={
                "shoulder": ((tip[0] + shift - 20.0, tip[1] - 80.0),
                             (tip[0] + shift - 4.0, arm + 2.0)),
                "waist": ((foot - lift, 130.0), (mid[0] + shift - 10.0, mid[1] - 150.0)),
            },
            notches=[("shoulder", 0.55, False), ("waist", 0.42, False), ("waist", 0.6, False)],
            quantity=(1, 1),
        )  # fmt: skip

    front_side = side(solved(long + 4.0, lambda x: side(x).length("waist"), 0.0, 200.0))
    side_length = front_side.length("underarm")
    top_b = top + 12.0
    nape = (0.0, top_b - 22.0)
    tip_b = (-(neck + 112.0 + 3.0 * k), top_b - 42.0)
    mid_b = (-mid[0], top_b - (top - mid[1]))
    at_b = 74.0 + 3.0 * k
    back = Draft(
        corners={
            "nape": nape, "neck": (-neck, top_b), "mid": mid_b, "waist": (-at_b, 0.0),
            "centre": (0.0, 0.0),
        },
        bends={
            "nape": ((-40.0, nape[1]), (-neck + 8.0, top_b - 12.0)),
            "mid": ((mid_b[0] + 6.0, mid_b[1] - 130.0), (-at_b - 12.0, 150.0)),
        },
        notches=[("mid", 0.5, True)],
        quantity=(1, 1),
    )  # fmt: skip
    long_b = back.length("mid")

    def back_side(lift: float) -> Draft:
        shift = -30.0
        foot = -at_b - 18.0 + shift
        end = foot - (waist - at_b - 8.0)
        under = -(bust + 20.0) + shift
        high = solved(
            side_length, lambda y: ((end - under) ** 2 + (y - 4.0) ** 2) ** 0.5, 20.0, 500.0
        )
        return Draft(
            corners={
                "mid": (mid_b[0] + shift, mid_b[1]),
                "waist": (foot, 0.0),
                "waist-side": (end, 4.0),
                "underarm": (under, high),
                "shoulder": (tip_b[0] + shift, tip_b[1]),
            },
            bends={
                "mid": ((mid_b[0] + shift + 6.0, mid_b[1] - 130.0), (foot + lift, 150.0)),
                "underarm": ((tip_b[0] + shift + 4.0, high + 6.0),
                             (tip_b[0] + shift + 14.0, tip_b[1] - 90.0)),
            },
            notches=[("mid", 0.5, True), ("underarm", 0.5, True)],
            quantity=(1, 1),
        )  # fmt: skip

    back_panel = back_side(solved(long_b, lambda x: back_side(x).length("mid"), 0.0, 220.0) + seam)
    return {
        "Centre front": centre, "Side front": front_side, "Centre back": back,
        "Side back": back_panel,
    }  # fmt: skip


def princess_seams(t: Truth) -> None:
    t.seam("princess, front", "Side front: mid > waist", "Centre front: mid > waist")
    t.seam("princess, back", "Side back: mid > waist", "Centre back: mid > waist")
    t.seam("side", "Side front: underarm > waist-side", "Side back: underarm > waist-side")
    t.seam("centre back", "Centre back: nape > centre", "Centre back: nape > centre")
    t.seam(
        "shoulder",
        ["Centre front: neck > mid", "Side front: mid > shoulder"],
        ["Centre back: neck > mid", "Side back: mid > shoulder"],
    )


# -- a darted skirt with a waistband ---------------------------------


def skirt(k: int) -> Drafts:
    hip, length = 245.0 + 10.0 * k, 580.0 + 4.0 * k

    def half(sign: float, waist: float, dart: float, *, fold: bool) -> Draft:
        top = sign * (waist + dart)
        wide = sign * hip
        corners = {
            "waist-side": (top, length + 12.0),
            "waist": (0.0, length),
            "hem": (0.0, 0.0),
            "hem-side": (wide + sign * 12.0, 6.0),
        }
        return Draft(
            corners=corners,
            bends={
                "waist-side": ((top * 0.66, length + 1.0), (top * 0.3, length)),
                "hem": ((wide * 0.4, 0.0), (wide * 0.7, 0.0)),
                "hem-side": (
                    (wide + sign * 6.0, length - 280.0),
                    (wide + sign * 6.0, length - 120.0),
                ),
            },
            notches=[("hem-side", 0.66, False)],
            darts=[("waist-side", 0.48, dart, 95.0 if sign > 0 else 130.0)],
            fold="waist" if fold else None,
            quantity=(1, 0) if fold else (1, 1),
        )

    front = half(1.0, 178.0 + 9.0 * k, 18.0, fold=True)
    back = half(-1.0, 164.0 + 9.0 * k, 30.0, fold=False)
    # The back's waist slides until both sides are as long.
    side = front.length("hem-side")
    x, _ = back.corners["waist-side"]

    def with_top(y: float) -> Draft:
        moved = half(-1.0, 164.0 + 9.0 * k, 30.0, fold=False)
        moved.corners["waist-side"] = (x, y)
        return moved

    back = with_top(solved(side, lambda y: with_top(y).length("hem-side"), 300.0, 900.0))
    whole = front.length("waist-side") + back.length("waist-side")
    band = Draft(
        corners={
            "fold": (0.0, 0.0), "end": (whole, 0.0), "over": (whole + 30.0, 0.0),
            "corner": (whole + 30.0, 70.0), "top": (0.0, 70.0),
        },
        fold="top",
        notches=[("fold", front.length("waist-side") / whole, False)],
        quantity=(1, 0),
    )  # fmt: skip
    band.corners = {n: band.corners[n] for n in ("fold", "over", "corner", "top")}
    band.corners["over"] = (whole, 0.0)
    band.corners["corner"] = (whole, 70.0)
    return {"Front": front, "Back": back, "Waistband": band}


def skirt_seams(t: Truth) -> None:
    t.seam("side", "Front: waist-side > hem-side", "Back: waist-side > hem-side")
    t.seam("centre back", "Back: waist > hem", "Back: waist > hem")
    t.seam(
        "waistband",
        "Waistband: fold > over",
        ["Front: waist > waist-side", "Back: waist-side > waist"],
    )


# -- trousers with fly and pockets ---------------------------------


def trousers(k: int) -> Drafts:
    rise, leg = 250.0 + 3.0 * k, 780.0 + 6.0 * k
    hip_f, hip_b = 236.0 + 9.0 * k, 252.0 + 10.0 * k
    fork_f, fork_b = 48.0 + 1.5 * k, 104.0 + 2.5 * k
    knee, hem = 215.0 + 4.0 * k, 190.0 + 3.0 * k
    waist_f, waist_b = 190.0 + 9.0 * k, 196.0 + 9.0 * k
    top = rise + leg
    opening = (60.0, 150.0)  # of the pocket: along the waist, down the side
    crease = hip_f / 2 + fork_f / 4
    side_x = hip_f
    front = Draft(
        corners={
            "waist": (8.0, top),
            "pocket-top": (8.0 + waist_f - opening[0], top + 6.0),
            "pocket-low": (side_x + 1.0, top - opening[1]),
            "hem-side": (crease + hem / 2, 0.0),
            "hem-in": (crease - hem / 2, 0.0),
            "fork": (-fork_f, leg),
        },
        bends={
            "pocket-top": ((8.0 + waist_f - 52.0, top - 60.0), (side_x - 44.0, top - 128.0)),
            "pocket-low": ((side_x + 4.0, leg - 60.0), (crease + knee / 2, leg * 0.5)),
            "hem-in": ((crease - knee / 2, leg * 0.45), (-fork_f + 22.0, leg - 120.0)),
            "fork": ((-8.0, leg + 6.0), (2.0, leg + 60.0)),
        },
        notches=[("pocket-low", 0.5, False), ("hem-in", 0.45, False)],
        quantity=(1, 1),
    )
    inseam = front.length("hem-in")
    whole_side = front.length("pocket-low")

    bag_top = (8.0 + waist_f, top + 9.0)
    bag = Draft(  # the side piece of the pocket: it completes waist and side
        corners={
            "waist": (8.0 + waist_f - opening[0] - 60.0, top + 3.0),
            "side-top": bag_top,
            "side-low": (side_x + 1.0, top - opening[1]),
            "bottom": (side_x - 10.0, top - 280.0),
            "inner": (8.0 + waist_f - opening[0] - 60.0, top - 270.0),
        },
        bends={
            "side-top": ((bag_top[0] + 22.0, top - 40.0), (side_x + 3.0, top - 110.0)),
        },
        quantity=(1, 1),
    )
    facing = Draft(  # the pocket's inner bag, sewn along the opening and round the bag
        corners={
            "waist": bag.corners["waist"],
            "pocket-top": front.corners["pocket-top"],
            "pocket-low": front.corners["pocket-low"],
            "bottom": bag.corners["bottom"],
            "inner": bag.corners["inner"],
        },
        bends={"pocket-top": front.bends["pocket-top"]},
        quantity=(1, 1),
    )
    side = bag.length("side-top") + whole_side

    def back_at(lift: float, out: float) -> Draft:
        mid = hip_b / 2 - fork_b / 3
        waist = (-46.0, top + 26.0)
        sx = waist[0] - (waist_b + 26.0)
        return Draft(
            corners={
                "waist": waist,
                "fork": (fork_b, leg - lift),
                "hem-in": (-mid + hem / 2 + 14.0, 0.0),
                "hem-side": (-mid - hem / 2 - 14.0, 0.0),
                "waist-side": (sx, top + out),
            },
            bends={
                "waist": ((-6.0, leg + 90.0), (30.0, leg + 2.0 - lift)),
                "fork": ((fork_b - 44.0, leg - 130.0), (-mid + knee / 2 + 18.0, leg * 0.45)),
                "hem-side": ((-mid - knee / 2 - 22.0, leg * 0.5), (-hip_b - 26.0, leg - 40.0)),
            },
            darts=[("waist-side", 0.5, 26.0, 110.0)],
            notches=[("hem-side", 0.42, False), ("fork", 0.55, False)],
            quantity=(1, 1),
        )

    lift = solved(-inseam, lambda x: -back_at(x, 0.0).length("fork"), -60.0, 120.0)
    out = solved(side, lambda y: back_at(lift, y).length("hem-side"), -120.0, 120.0)
    back = back_at(lift, out)
    visible = opening[0]
    waist = front.length("waist") + visible + back.length("waist-side")
    band = Draft(
        corners={
            "front": (0.0, 0.0), "back": (waist, 0.0), "c": (waist, 38.0), "d": (0.0, 38.0),
        },
        notches=[("front", (front.length("waist") + visible) / waist, False)],
        quantity=(2, 2),
    )  # fmt: skip
    long = 165.0 + 2.0 * k
    fly = Draft(
        corners={
            "top": (0.0, 0.0), "end": (0.0, -long), "low": (26.0, -long + 14.0), "out": (42.0, 0.0),
        },
        bends={"low": ((40.0, -long + 40.0), (42.0, -60.0))},
        quantity=(1, 0),
    )  # fmt: skip
    return {
        "Front": front, "Back": back, "Pocket back": bag, "Pocket front": facing,
        "Waistband": band, "Fly": fly,
    }  # fmt: skip


def trousers_seams(t: Truth) -> None:
    t.seam("inseam", "Front: fork > hem-in", "Back: fork > hem-in")
    t.seam(
        "side",
        "Back: waist-side > hem-side",
        ["Pocket back: side-top > side-low", "Front: pocket-low > hem-side"],
    )
    t.seam("pocket opening", "Pocket front: pocket-top > pocket-low",
           "Front: pocket-top > pocket-low")  # fmt: skip
    t.seam("pocket bags", "Pocket front: waist > inner > bottom",
           "Pocket back: waist > inner > bottom")  # fmt: skip
    t.seam(
        "waistband",
        "Waistband: front > back",
        [
            "Front: waist > pocket-top",
            "Pocket back: waist~60 > side-top",
            "Back: waist-side > waist",
        ],
    )
    t.seam("fly", "Fly: top > end", "Front: waist > fork~165")
    # Left sewn to right, both of the same piece.
    t.seam("crotch, front", "Front: fork > waist", "Front: fork > waist")
    t.seam("crotch, back", "Back: fork > waist", "Back: fork > waist")


# -- a jacket with a two-piece sleeve and a facing ---------------------------------


def jacket(k: int) -> Drafts:
    front = _front(k, opening=60.0, length=640.0, loose=36.0)
    back = _back(k, length=640.0, loose=36.0)
    lapel = (-78.0, front.corners["throat"][1] - 60.0)
    throat = (-6.0, front.corners["throat"][1] + 4.0)
    front.corners = {
        **{n: front.corners[n] for n in ("neck", "shoulder", "underarm", "hem-side", "hem")},
        "break": (-60.0, 330.0),
        "lapel": lapel,
        "throat": throat,
    }
    front.bends["break"] = ((-66.0, 420.0), (-80.0, lapel[1] - 70.0))
    front.bends["throat"] = ((24.0, throat[1]), (front.corners["neck"][0] - 8.0, throat[1] + 40.0))
    wide = 64.0
    neck, tip = front.corners["neck"], front.corners["shoulder"]
    share = 46.0 / ((tip[0] - neck[0]) ** 2 + (tip[1] - neck[1]) ** 2) ** 0.5
    inner = (neck[0] + share * (tip[0] - neck[0]), neck[1] + share * (tip[1] - neck[1]))
    facing = Draft(
        corners={
            "neck": neck,
            "inner": inner,
            "hem-in": (wide, 3.0),
            "hem": front.corners["hem"],
            "break": front.corners["break"],
            "lapel": lapel,
            "throat": throat,
        },
        bends={
            "inner": ((inner[0] - 20.0, inner[1] - 160.0), (wide, 380.0)),
            "break": front.bends["break"],
            "throat": front.bends["throat"],
        },
        quantity=(1, 1),
    )
    length = back.length("nape") + front.length("throat")
    collar = Draft(
        corners={
            "fold": (0.0, 0.0), "end": (length, 0.0), "tip": (length + 26.0, 62.0),
            "top": (0.0, 78.0),
        },
        bends={"fold": ((length * 0.4, -9.0), (length * 0.7, -9.0))},
        fold="top",
        quantity=(2, 0),
    )  # fmt: skip
    collar_x = solved(length, lambda x: _moved(collar, x).length("fold"), 60.0, 600.0)
    collar = _moved(collar, collar_x)
    arm_f, arm_b = front.length("shoulder"), back.length("shoulder")
    top, under = _two_piece(k, arm_f, arm_b)
    return {
        "Front": front, "Back": back, "Facing": facing, "Collar": collar, "Top sleeve": top,
        "Under sleeve": under,
    }  # fmt: skip


def _moved(collar: Draft, x: float) -> Draft:
    return Draft(
        corners={**collar.corners, "end": (x, 0.0), "tip": (x + 26.0, 62.0)},
        bends={"fold": ((x * 0.4, -9.0), (x * 0.7, -9.0))},
        fold="top",
        quantity=(2, 0),
    )


def _two_piece(k: int, front: float, back: float) -> tuple[Draft, Draft]:
    """Top and under sleeve. The under sleeve is sewn to the low part of the armhole."""
    wide, low = 236.0 + 7.0 * k, 118.0 + 5.0 * k
    length, wrist = 440.0 + 4.0 * k, 140.0 + 3.0 * k
    scoop = 70.0 + k

    def under(depth: float) -> Draft:
        return Draft(
            corners={
                "front": (low, 30.0 + k * 0.5),
                "wrist-front": (low - 30.0, -length),
                "wrist-back": (low - 30.0 - wrist * 0.8, -length),
                "back": (0.0, 62.0 + k),
                "deep": (scoop - 6.0, -2.0 - depth),
            },
            bends={
                "front": ((low - 16.0, -160.0), (low - 16.0, -260.0)),
                "wrist-back": ((-22.0, -240.0), (-14.0, -120.0)),
                "back": ((6.0, 26.0), (24.0, -2.0 - depth)),
                "deep": ((scoop + 18.0, -2.0 - depth), (low - 10.0, 6.0)),
            },
            notches=[("front", 0.5, False), ("wrist-back", 0.5, True)],
            quantity=(1, 1),
        )

    bottom = under(0.0)
    rest_f = front - bottom.length("deep") + 14.0
    rest_b = back - bottom.length("back") + 16.0

    def top_at(height: float, crown: float) -> Draft:
        return Draft(
            corners={
                "back": (0.0, 62.0 + k),
                "crown": (crown, height),
                "front": (wide, 30.0 + k * 0.5),
                "wrist-front": (wide - 26.0, -length),
                "wrist-back": (wide - 26.0 - wrist, -length + 8.0),
            },
            bends={
                "back": ((14.0, height * 0.7), (crown - 62.0, height)),
                "crown": ((crown + 58.0, height), (wide - 24.0, height * 0.55)),
                "front": ((wide - 26.0, -160.0), (wide - 26.0, -260.0)),
                "wrist-back": ((26.0, -240.0), (-14.0, -110.0)),
            },
            notches=[
                ("crown", 0.0, False), ("front", 0.5, False), ("wrist-back", 0.5, True),
            ],
            quantity=(1, 1),
        )  # fmt: skip

    def height_for(crown: float) -> float:
        whole = rest_f + rest_b
        return solved(whole, lambda h: top_at(h, crown).length("back", "crown"), 80.0, 420.0)

    def crown_for(height: float) -> float:
        return solved(rest_b, lambda c: top_at(height, c).length("back"), 40.0, wide - 40.0)

    crown = wide * 0.5
    for _ in range(4):
        height = height_for(crown)
        crown = crown_for(height)
    top = top_at(height, crown)
    long_f, long_b = top.length("front"), top.length("wrist-back")

    def fitted(f: float, b: float) -> Draft:
        draft = under(0.0)
        draft.corners["wrist-front"] = (low - 30.0, f)
        draft.corners["wrist-back"] = (low - 30.0 - wrist * 0.8, b)
        return draft

    f = solved(-(long_f), lambda y: -fitted(y, -length).length("front"), -900.0, -200.0)
    b = solved(-(long_b - 5.0), lambda y: -fitted(f, y).length("wrist-back"), -900.0, -200.0)
    return top, fitted(f, b)


def jacket_seams(t: Truth) -> None:
    t.seam("shoulder", "Front: neck > shoulder", "Back: neck > shoulder")
    t.seam("side", "Front: underarm > hem-side", "Back: underarm > hem-side")
    t.seam("sleeve, front seam", "Top sleeve: front > wrist-front",
           "Under sleeve: front > wrist-front")  # fmt: skip
    t.seam("sleeve, back seam", "Top sleeve: back > wrist-back", "Under sleeve: back > wrist-back")
    t.seam("collar", "Collar: fold > end", ["Back: nape > neck", "Front: neck > throat"])
    t.seam("facing, edge", "Facing: hem > break > lapel", "Front: hem > break > lapel")
    t.seam("facing, top", "Facing: lapel > throat", "Front: lapel > throat")
    t.seam(
        "cap, front",
        ["Under sleeve: deep > front", "Top sleeve: front > crown"],
        "Front: underarm > shoulder",
        "front",
    )
    t.seam(
        "cap, back",
        ["Under sleeve: deep > back", "Top sleeve: back > crown"],
        "Back: underarm > shoulder",
        "back",
    )
