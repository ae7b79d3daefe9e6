"""Fits: press fits from the equations of elasticity, dropping in by heat, ISO limits and fits."""

from math import pi

import numpy
from pint import Quantity
from scipy.optimize import brentq

import iso286
from case import Case, Expected, Near
from draw import Draw
from iso286 import Rounded
from metals import ELASTIC, EXPANSION, celsius, rise
from quantities import REGISTRY, Typed, quantity

METALS = list(ELASTIC)


def solved(metals: tuple[str, str], sizes: list[float], interference: float) -> dict[str, float]:
    """Two rings pressed together, plane stress: radial travel u = A r + B / r in each, from what holds at their edges.

    `sizes` are the radii of hole, joint and outside in m; the stresses at the joint and at the hole in Pa.
    """
    hole, joint, outside = sizes

    def radial(metal: str, r: float) -> list[float]:
        """Radial stress per A and per B r_joint^2 (Timoshenko, Strength of Materials, thick cylinders)."""
        modulus, poisson = ELASTIC[metal][0] * 1e9, ELASTIC[metal][1]
        return [modulus / (1 - poisson), -modulus / (1 + poisson) * (joint / r) ** 2]

    ring, shaft = metals
    scale = 1e11
    free_hole = [*(v / scale for v in radial(shaft, hole)), 0, 0] if hole else [0, 1, 0, 0]
    rows = [
        free_hole,
        [0, 0, *(v / scale for v in radial(ring, outside))],
        [*(v / scale for v in radial(shaft, joint)), *(-v / scale for v in radial(ring, joint))],
        [-1, -1, 1, 1],
    ]
    a_shaft, b_shaft, a_ring, b_ring = numpy.linalg.solve(rows, [0, 0, 0, interference / 2 / joint])

    def stress(metal: str, a: float, b: float, r: float) -> tuple[float, float]:
        """Radial and hoop: the hoop has the other sign of B."""
        along, across = radial(metal, r)
        return along * a + across * b, along * a - across * b

    pressed, hoop = stress(ring, a_ring, b_ring, joint)
    inner = stress(shaft, a_shaft, b_shaft, hole or joint)
    return {"pressure": -pressed, "hoop": hoop, "ring": mises(pressed, hoop), "shaft": mises(*inner)}


def mises(a: float, b: float) -> float:
    """Distortion energy, nothing along the axis: from the tensor's deviator."""
    tensor = numpy.diag([a, b, 0.0])
    deviator = tensor - numpy.trace(tensor) / 3 * numpy.eye(3)
    return float(numpy.sqrt(1.5 * (deviator * deviator).sum()))


def press(draw: Draw) -> Case:
    """Force = friction x pressure x area; torque = half of it x diameter."""
    joint = draw.length(0.6, 3)
    outside, length = draw.near(joint, 0.3, 1.5), draw.length(0.5, 2.5)
    tight = Typed(round(joint.number * draw.real(0.0005, 0.0012, 5), 5), joint.written)
    hole = draw.near(joint, -0.45, -0.15) if draw.chance() else None
    ring, shaft, friction = draw.one_of(METALS), draw.one_of(METALS), draw.real(0.08, 0.18, 3)
    radii = [float(s.quantity.to("m").magnitude) / 2 if s else 0.0 for s in (hole, joint, outside)]
    found = solved((ring, shaft), radii, float(tight.quantity.to("m").magnitude))
    pascal = REGISTRY.Quantity(1, "pascal")
    force = friction * found["pressure"] * pascal * pi * joint.quantity * length.quantity
    values: dict[str, Expected] = {
        "pressure": found["pressure"] * pascal,
        "ring_hoop": found["hoop"] * pascal,
        "ring_stress": found["ring"] * pascal,
        "shaft_stress": found["shaft"] * pascal,
        "force": force,
        "torque": force * joint.quantity / 2,
    }
    line = f"fit press {joint} interference={tight} outside={outside} length={length} ring={ring} shaft={shaft}"
    return Case(line + f" friction={friction}" + (f" hole={hole}" if hole else ""), values)


def heat(draw: Draw) -> Case:
    """Grown ring - grown shaft = clearance, each by a L dT from the room; the temperature by root finding."""
    joint = draw.length(0.8, 4.5)
    tight = Typed(round(joint.number * draw.real(0.0003, 0.0008, 5), 5), joint.written)
    gap = Typed(round(joint.number * draw.real(0.0002, 0.0004, 5), 5), joint.written)
    ring, shaft = draw.one_of(METALS), draw.one_of(METALS)
    room, cold, hot = draw.temperature(15, 25), draw.temperature(-60, 0), draw.temperature(90, 180)

    def clear(oven: Typed, freezer: Typed) -> Quantity:
        hole = (joint.quantity - tight.quantity) * (1 + (EXPANSION[ring] * rise(oven, room)).to("dimensionless"))
        return hole - joint.quantity * (1 + (EXPANSION[shaft] * rise(freezer, room)).to("dimensionless"))

    def short(oven: Typed, freezer: Typed) -> float:
        return float((clear(oven, freezer) - gap.quantity).to("micrometer").magnitude)

    line = f"fit heat {joint} interference={tight} clearance={gap} ring={ring} shaft={shaft} room={room}"
    way = draw.number // 2 % 3
    if way == 0:
        return Case(f"{line} cold={cold} hot={hot}", {"clearance": clear(hot, cold)})
    if way == 1:
        found = brentq(lambda t: short(Typed(t, "C"), cold), -500, 900, xtol=1e-10)
        # Where the cold shaft drops in by itself the oven stays at the room's temperature.
        least = float(room.quantity.to("degC").magnitude)
        return Case(f"{line} cold={cold}", {"hot": celsius(max(found, least))})
    # An oven hardly hot enough leaves work for the freezer.
    enough = brentq(lambda t: short(Typed(t, "C"), room), -500, 900)
    oven = Typed(round(enough - 12, 1), "C")
    return Case(
        f"{line} hot={oven}", {"cold": celsius(brentq(lambda t: short(oven, Typed(t, "C")), -500, 900, xtol=1e-10))}
    )


ROUNDED = "the standard's tables are rounded from these formulas"


def iso(draw: Draw) -> Case:
    """Limits from the formulas of ISO 286-1, to the rounding of its tables."""
    millimetres = draw.whole(4, 400)
    size = Typed(float(millimetres), "mm") if draw.metric else Typed(draw.whole(2, 60) / 4, "in")
    nominal = float(size.quantity.to("mm").magnitude)
    # Grades by letter: those that the formulas hold for.
    shaft_letter = draw.one_of(["d", "e", "f", "g", "h", "js", "k", "m", "n", "p", "r", "s"])
    shaft_grade = draw.whole(5, 7) if shaft_letter in "kmnprs" else draw.whole(5, 9)
    hole_letter = draw.one_of(["D", "E", "F", "G", "H", "JS", "K", "M", "N", "P"])
    hole_grade = draw.whole(6, 7) if hole_letter in ("K", "M", "N", "P") else draw.whole(6, 9)
    low, high = iso286.shaft(shaft_letter, shaft_grade, nominal)
    bottom, top = iso286.hole(hole_letter, hole_grade, nominal)

    def near(rounded: Rounded, on: Quantity) -> Near:
        return Near(on + quantity(rounded.value, "um"), ROUNDED, 0, rounded.slack * 1e-6)

    nought = 0 * size.quantity
    values: dict[str, Expected] = {
        "hole_largest": near(top, size.quantity),
        "hole_smallest": near(bottom, size.quantity),
        "shaft_largest": near(high, size.quantity),
        "shaft_smallest": near(low, size.quantity),
        "loosest": near(top + -low, nought),
        "tightest": near(bottom + -high, nought),
    }
    return Case(f"fit iso {size} {hole_letter}{hole_grade}/{shaft_letter}{shaft_grade}", values)


SUMS = {"fit press": press, "fit heat": heat, "fit iso": iso}
