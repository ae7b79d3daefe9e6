"""Valves in the head: springs, shims, guides, seats, pushrods, lash, rocker ratio."""

import cmath
import math
from itertools import combinations_with_replacement

import numpy
from pint import Quantity
from scipy.optimize import minimize_scalar

from case import Case, Expected, Near
from draw import Draw
from metals import EXPANSION, rise
from quantities import Typed, listed, metres, quantity

SHIMS = [Typed(s, "in") for s in (0.015, 0.030, 0.060)]
# Most shims under one spring.
MOST = 3


def spring(draw: Draw) -> Case:
    """A straight line through load and height; from the wire k = G d^4 / (8 D^3 n) (Shigley, helical springs)."""
    height, lift = draw.length(1.65, 1.85), draw.length(0.38, 0.56)
    line = f"valve spring height={height} lift={lift}"
    values: dict[str, Expected] = {}
    if draw.number % 4 < 2:
        first, second = draw.force(400, 600), draw.force(1100, 1700)
        high, low = draw.length(1.70, 1.85), draw.length(1.20, 1.30)
        rate = (second.quantity - first.quantity) / (high.quantity - low.quantity)
        line += f" load={first} at={high} load={second} at={low}"
        at, load = high.quantity, first.quantity
    else:
        wire, outside, coils = draw.length(0.165, 0.195), draw.length(1.25, 1.55), draw.real(4.2, 5.5, 1)
        free = draw.length(2.2, 2.5)
        coil = outside.quantity - wire.quantity
        rate = (quantity(77.2, "GPa") * wire.quantity**4 / (8 * coil**3 * coils)).to("N / mm")
        line += f" wire={wire} outside={outside} coils={coils} free={free}"
        at, load = free.quantity, 0 * quantity(1, "N")

    def load_at(length: Quantity) -> Quantity:
        return load + rate * (at - length)

    opened = height.quantity - lift.quantity
    solid, wanted = draw.length(1.0, 1.06), draw.force(380, 620)
    wanted_height = at - (wanted.quantity - load) / rate
    values |= {
        "rate": rate,
        "seat_load": load_at(height.quantity),
        "height": height.quantity,
        "open_load": load_at(opened),
        "open_height": opened,
        "bind_margin": opened - solid.quantity,
        "shim": height.quantity - wanted_height,
        "wanted_height": wanted_height,
    }
    return Case(f"{line} solid={solid} wanted={wanted}", values)


def height(draw: Draw) -> Case:
    """Every pack of up to three shims is tried; the nearest to what is wanted, and of equals the fewest shims."""
    wanted = draw.length(1.65, 1.85)
    found = [draw.near(wanted, -0.004, 0.085) for _ in range(draw.whole(1, 8))]
    packs = [
        sum((s.quantity for s in pack), 0 * SHIMS[0].quantity)
        for n in range(MOST + 1)
        for pack in combinations_with_replacement(SHIMS, n)
    ]
    values: dict[str, Expected] = {}
    for place, one in enumerate(found, 1):
        needed = one.quantity - wanted.quantity
        best = min(packs, key=lambda pack: round(abs(needed - pack).to("nanometer").magnitude))
        values |= {f"shim_{place}": best, f"height_{place}": one.quantity - best}
    return Case("valve height " + " ".join(map(str, found)) + f" wanted={wanted}", values)


def guide(draw: Draw) -> Case:
    """Guide - stem, the extremes of both (definition)."""
    stem = draw.length(0.25, 0.38)
    stems = [stem] + [draw.near(stem, -0.0004, 0) for _ in range(draw.whole(0, 3))]
    guides = [draw.near(stem, 0.0009, 0.0030) for _ in range(draw.whole(1, 6))]
    values = {
        "largest": max(g.quantity for g in guides) - min(s.quantity for s in stems),
        "smallest": min(g.quantity for g in guides) - max(s.quantity for s in stems),
    }
    return Case(
        f"valve guide guide={listed(guides)} stem={listed(stems)} valve={draw.one_of(['intake', 'exhaust'])}", values
    )


def seat(draw: Draw) -> Case:
    """The side of a cone between two circles: its width is the distance between them on the slope."""
    outer, angle = draw.length(1.3, 2.2), draw.one_of([30, 45, 46])
    inner, head = draw.near(outer, -0.14, -0.06), draw.near(outer, 0.01, 0.08)
    radial = (outer.quantity - inner.quantity) / 2
    width = math.hypot(1, math.tan(math.radians(angle))) * radial
    values = {
        "width": width,
        "mean_diameter": (outer.quantity + inner.quantity) / 2,
        "to_edge": (head.quantity - outer.quantity) / 2,
    }
    line = f"valve seat outer={outer} inner={inner} head={head} angle={angle}"
    return Case(f"{line} valve={draw.one_of(['intake', 'exhaust'])}", values)


def pushrod(draw: Draw) -> Case:
    """A rocker as arms in the plane: the narrowest sweep by search, the pushrod as the distance from cup to cup."""
    arm, lift, checking = draw.length(1.3, 1.7), draw.length(0.40, 0.60), draw.length(7, 9, 3)
    now, stem = draw.length(0.05, 0.45), draw.near(arm, -0.03, 0.03)
    ratio, lean, step = draw.real(1.4, 1.8, 2), draw.real(-12, 12, 1), draw.length(0.02, 0.06, 3)
    reach, travel = metres(arm.quantity), metres(lift.quantity)

    def sweep(rise: float) -> tuple[float, float]:
        """Nearest and farthest touch, the nose following the tip from `rise` to rise - lift."""
        heights = numpy.clip([rise, rise - travel, 0.0], rise - travel, rise)
        touches = numpy.sqrt(reach**2 - heights**2)
        return float(touches.min()), float(touches.max())

    def width(rise: float) -> float:
        near, far = sweep(rise)
        return far - near

    def cup(rise: float) -> complex:
        """Of the rocker, from the tip of the shut valve: the pivot, and back along the straight rocker from it."""
        nose = complex(math.sqrt(reach**2 - rise**2), rise)
        return complex(0, -rise) - nose / ratio

    # Not past square: the search halves to a tenth of a nanometre.
    best = minimize_scalar(width, bounds=(0, travel), method="bounded", options={"xatol": 1e-13}).x
    here = metres(now.quantity)
    foot = cup(here) + metres(checking.quantity) * cmath.rect(1, -math.pi / 2 - math.radians(lean))
    length = abs(cup(best) - foot)
    steps = round(length / metres(step.quantity))
    metre = quantity(1, "m")
    why = "the narrowest sweep is found by search"
    values = {
        "length": Near(length * metre, why, floor=1e-9),
        "change": Near((length - metres(checking.quantity)) * metre, why, floor=1e-9),
        "width_now": width(here) * metre,
        "width_best": Near(width(best) * metre, why, floor=1e-9),
        "nearest_step": steps * step.quantity,
        "off_stem": Near((sum(sweep(best)) / 2 - metres(stem.quantity)) * metre, why, floor=1e-9),
    }
    line = (
        f"valve pushrod {checking} arm={arm} ratio={ratio} lift={lift} rise={now} lean={lean} stem={stem} step={step}"
    )
    return Case(line, values)


METALS = ["steel", "alloy-steel", "austenitic-steel", "cast-iron", "aluminium"]


def lash(draw: Draw) -> Case:
    """Growth a L dT of every part; the pushrod's side comes out at the valve times the ratio (levers)."""
    hot, ratio = draw.length(0.010, 0.030), draw.real(1.2, 1.8, 2)
    if draw.chance(0.25):
        return Case(f"valve lash {hot} ratio={ratio}", {"lobe_lash": hot.quantity / ratio})
    cold = draw.temperature(10, 30)
    line, change = f"valve lash {hot} ratio={ratio} cold={cold}", 0 * hot.quantity
    # A longer head or block opens the lash, a longer valve or pushrod takes it up.
    for part, low, high, share in (
        ("valve", 4, 5.2, -1),
        ("head", 4, 5.2, 1),
        ("pushrod", 7, 9, -ratio),
        ("block", 7, 9, ratio),
    ):
        length, warm, metal = draw.length(low, high, 3), draw.temperature(70, 170), draw.one_of(METALS)
        change = change + share * length.quantity * (EXPANSION[metal] * rise(warm, cold)).to("dimensionless")
        line += f" {part}={length} {part}-temp={warm} {part}-metal={metal}"
    return Case(line, {"cold": hot.quantity - change, "change": change})


def ratio(draw: Draw) -> Case:
    """Lift at the valve = lobe x ratio - lash, and back again."""
    lobe, rocker, lash_at_valve = draw.length(0.25, 0.38), draw.real(1.3, 1.8, 2), draw.length(0.005, 0.025)
    measured = draw.near(lobe, 0.08, 0.22)
    gross = lobe.quantity * rocker
    values = {
        "net_lift": gross - lash_at_valve.quantity,
        "gross_lift": gross,
        "lobe_lash": lash_at_valve.quantity / rocker,
        "ratio": (measured.quantity + lash_at_valve.quantity) / lobe.quantity,
    }
    return Case(f"valve ratio lobe={lobe} ratio={rocker} lash={lash_at_valve} measured={measured}", values)


SUMS = {
    "valve spring": spring,
    "valve height": height,
    "valve guide": guide,
    "valve seat": seat,
    "valve pushrod": pushrod,
    "valve lash": lash,
    "valve ratio": ratio,
}
