"""Plain bearings: oil clearance, undersizes, mixed half-shells, crush, thinnest film."""

from itertools import pairwise
from math import pi

import numpy
from pint import Quantity

import reynolds
from case import Case, Expected, Near
from draw import Draw
from quantities import REGISTRY, Typed, listed, quantity

# Steps shells are sold in, under the nominal size: common practice.
STEPS = {
    "inch": [quantity(s, "in") for s in (0.010, 0.020, 0.030)],
    "metric": [quantity(s, "mm") for s in (0.25, 0.5, 0.75)],
}
# Journals this much over a standard size may still have been ground to it: half a thou, common practice.
LEFT = quantity(0.0005, "in")
NANOMETRE = quantity(1e-6, "mm")


def clearance(draw: Draw) -> Case:
    """Housing - both walls - journal; the least from the largest journal (definitions)."""
    journal = draw.length(1.6, 3.2)
    wall = draw.length(0.060, 0.120)
    shells = [wall] + ([draw.near(wall, 0, 0.0003)] if draw.chance() else [])
    walls = sum((s.quantity for s in shells), 0 * wall.quantity) * (2 / len(shells))
    unit = journal.written
    bore = Typed(round((journal.quantity + walls).to("inch" if unit == "in" else "mm").magnitude, 4), unit)
    housings = [draw.near(bore, 0.0015, 0.0035) for _ in range(draw.whole(1, 3))]
    journals = [journal] + [draw.near(journal, -0.0004, 0.0004) for _ in range(draw.whole(0, 3))]
    inside = [h.quantity - walls for h in housings]
    sizes = [j.quantity for j in journals]
    values = {
        "smallest": min(inside) - max(sizes),
        "largest": max(inside) - min(sizes),
        "mean": sum(inside[1:], inside[0]) / len(inside) - sum(sizes[1:], sizes[0]) / len(sizes),
    }
    typed = [("housing", housings), ("shell", shells), ("journal", journals)]
    return Case("bearing clearance " + " ".join(f"{field}={one}" for field, of in typed for one in of), values)


def undersize(draw: Draw) -> Case:
    """Polished below the smallest journal; wear on one side counts twice on the original centre (geometry)."""
    nominal = Typed(float(draw.whole(40, 80)), "mm") if draw.metric else Typed(draw.whole(14, 26) / 8, "in")
    readings = [draw.near(nominal, -0.0060, -0.0004) for _ in range(draw.whole(1, 6))]
    polish = draw.length(0.0002, 0.0006)
    least, most = min(r.quantity for r in readings), max(r.quantity for r in readings)
    every = [nominal.quantity - step for steps in STEPS.values() for step in steps]
    ground = min([nominal.quantity, *(size for size in every if most - LEFT <= size)])
    wear = max(ground - least, 0 * least)
    needs = {"even": least - polish.quantity, "one_sided": ground - 2 * wear - polish.quantity}
    values: dict[str, Expected] = {"clean_up": needs["even"], "clean_up_one_sided": needs["one_sided"]}
    for worn, size in needs.items():
        for system, steps in STEPS.items():
            if fits := [step for step in steps if nominal.quantity - step <= size + NANOMETRE]:
                values[f"undersize_{worn}_{system}"] = fits[0]
    return Case("bearing undersize " + " ".join(map(str, readings)) + f" nominal={nominal} polish={polish}", values)


def pick(draw: Draw) -> Case:
    """Every mix of like halves and of neighbours is tried: inside the limits, then nearest their middle."""
    marks = (
        [Typed(m, "mm") for m in (0.0, 0.025, 0.05)] if draw.metric else [Typed(m, "in") for m in (-0.001, 0.0, 0.001)]
    )
    least = draw.lengths(1, 0.0010, 0.0020)[0]
    most = draw.near(least, 0.0007, 0.0015)
    found = [draw.near(least, -0.0015, 0.0040) for _ in range(draw.whole(1, 7))]
    sizes = [mark.quantity for mark in marks]
    mixes = [(a, a) for a in sizes] + list(pairwise(sizes))
    middle = (least.quantity + most.quantity) / 2

    def rank(left: Quantity) -> tuple[bool, int]:
        """Equal to a nanometre is equal."""
        outside = left < least.quantity - NANOMETRE or left > most.quantity + NANOMETRE
        return outside, round(abs(left - middle).to("nanometer").magnitude)

    values: dict[str, Expected] = {}
    for place, standard in enumerate(found, 1):
        best = min(mixes, key=lambda mix: rank(standard.quantity - (mix[0] + mix[1]) / 2))
        values[f"clearance_{place}"] = standard.quantity - (best[0] + best[1]) / 2
        values[f"first_half_{place}"], values[f"second_half_{place}"] = best
    line = f"bearing pick clearance={listed(found)} min={least} max={most} shells={listed(marks)}"
    return Case(line, values)


def crush(draw: Draw) -> Case:
    """What two halves are longer than their hole, round the circle (definitions)."""
    housing = draw.length(1.8, 3.4)
    spread = draw.near(housing, 0.005, 0.040)
    round_it = pi * housing.quantity
    if draw.chance():
        gap = draw.length(0.001, 0.006)
        longer, field = gap.quantity, f"gap={gap}"
    else:
        unit = housing.written
        half = Typed(round((round_it / 2).magnitude, 4), unit)
        halves = [draw.near(half, 0.0005, 0.0030) for _ in range(draw.whole(1, 2))]
        longer = (halves[0].quantity + halves[-1].quantity) - round_it
        field = f"length={listed(halves)}"
    values = {
        "crush_per_half": longer / 2,
        "crush_pair": longer,
        "on_diameter": longer / pi,
        "strain": longer / round_it,
        "free_spread": spread.quantity - housing.quantity,
    }
    return Case(f"bearing crush {housing} {field} spread={spread}", values)


CHART = "Raimondi and Boyd's points lie within 3.1 % in S of the equation, and a curve is drawn between them"


def film(draw: Draw) -> Case:
    """S = (r/c)^2 mu N / P; the film from Reynolds' equation, which the program reads off a chart."""
    journal, slenderness = draw.length(1.6, 3.0), draw.real(0.27, 0.98, 3)
    length = Typed(round(journal.number * slenderness, 3), journal.written)
    clear, rpm = draw.length(0.0018, 0.0035), draw.whole(700, 6000)
    cp = draw.real(4, 20, 1)
    l_over_d = float((length.quantity / journal.quantity).to("dimensionless").magnitude)
    # A load for which the film is neither nothing nor all of the clearance.
    wanted = reynolds.sommerfeld(draw.real(0.25, 0.88, 3), l_over_d)
    area = (length.quantity * journal.quantity).to("m ** 2")
    turns = REGISTRY.Quantity(rpm / 60, "1 / second")
    stiff = (journal.quantity / clear.quantity).to("dimensionless") ** 2 * quantity(cp, "cP") * turns
    newtons = float((stiff * area / wanted).to("newton").magnitude)
    load = Typed(round(newtons), "N") if draw.metric else Typed(round(newtons / 4.448), "lbf")
    pressure = load.quantity / area
    s = float((stiff / pressure).to("dimensionless").magnitude)
    thin = 1 - reynolds.eccentricity(s, l_over_d)
    values = {
        "pressure": pressure,
        "sommerfeld": s,
        "sommerfeld_iso": 1 / (2 * numpy.pi * s),
        "film_over_clearance": Near(thin, CHART, relative=0.04),
        "eccentricity_ratio": Near(1 - thin, CHART, relative=0, floor=0.04 * thin),
        "thinnest_film": Near(thin * clear.quantity / 2, CHART, relative=0.04),
    }
    line = f"bearing film {journal} {length} {clear} load={load} speed={rpm}rpm viscosity={cp}cP"
    return Case(line, values)


SUMS = {
    "bearing clearance": clearance,
    "bearing undersize": undersize,
    "bearing pick": pick,
    "bearing crush": crush,
    "bearing film": film,
}
