"""Bores: shape, clean-up, one oversize for the block, stock for the hone, sleeves."""

import numpy
from pint import Quantity
from scipy.optimize import brentq

from case import Case, Expected
from draw import Draw
from metals import EXPANSION, at, celsius
from quantities import Typed, listed, quantity

# Steps pistons are sold in, over the nominal size: common practice.
STEPS = {"in": (0.020, 0.030, 0.040, 0.060), "mm": (0.25, 0.50, 0.75, 1.00)}
ALLOWANCE = quantity(0.004, "in")
# A bore this much under a standard size may still have been cut to it: half a thou, common practice.
LEFT = quantity(0.0005, "in")
NANOMETRE = quantity(1e-6, "mm")


def block(draw: Draw, count: int) -> tuple[Typed, list[Typed]]:
    """A nominal size in the unit of the case, and worn bores of it or of one of its oversizes."""
    unit = "mm" if draw.metric else "in"
    nominal = Typed(float(draw.whole(70, 130)), "mm") if draw.metric else Typed(draw.whole(22, 40) / 8, "in")
    cut = Typed(nominal.number + draw.one_of((0.0, 0.0, *STEPS[unit][:2])), unit)
    return nominal, [draw.near(cut, 0.0002, 0.0070) for _ in range(count)]


def steps(nominal: Typed) -> list[Quantity]:
    return [quantity(step, nominal.written) for step in STEPS[nominal.written]]


def last_cut(nominal: Typed, smallest: Quantity) -> Quantity:
    """The largest standard size that the bore is not under: bores only wear bigger."""
    sizes = [nominal.quantity + step for step in steps(nominal)]
    return max([nominal.quantity, *(size for size in sizes if size <= smallest + LEFT)])


def fitting(nominal: Typed, needs: Quantity) -> list[Quantity]:
    """The standard steps at which a bore that needs so much cleans up, smallest first."""
    return [step for step in steps(nominal) if nominal.quantity + step >= needs - NANOMETRE]


def clean_up(largest: Quantity, cut: Quantity, allowance: Quantity) -> tuple[Quantity, Quantity]:
    """On the worn centre; and on the original one, where wear on one side counts twice (geometry)."""
    wear = max(largest - cut, 0 * cut)
    return largest + allowance, cut + 2 * wear + allowance


def grid(draw: Draw) -> Case:
    """Two-point diameter differences, as the shop means out-of-round and taper (common practice)."""
    nominal, readings = block(draw, 6)
    table = numpy.array([r.number for r in readings]).reshape(3, 2)
    unit = nominal.written
    largest, smallest = quantity(table.max(), unit), quantity(table.min(), unit)
    values: dict[str, Expected] = {
        "out_of_round": quantity(numpy.abs(numpy.diff(table, axis=1)).max(), unit),
        "taper": quantity(numpy.ptp(table, axis=0).max(), unit),
        "largest": largest,
        "smallest": smallest,
    }
    line = "bore grid " + " ".join(map(str, readings))
    if draw.chance(0.2):
        return Case(line, values)
    allowance = draw.length(0.002, 0.005)
    worn, original = clean_up(largest, last_cut(nominal, smallest), allowance.quantity)
    values |= {"clean_up": worn, "clean_up_original_centre": original}
    for name, needs in (("next_oversize", worn), ("next_oversize_original_centre", original)):
        if found := fitting(nominal, needs):
            values[name] = found[0]
    return Case(f"{line} nominal={nominal} allowance={allowance}", values)


def oversize(draw: Draw) -> Case:
    """The worst bore decides for the block (common practice)."""
    nominal, readings = block(draw, draw.whole(1, 8))
    largest, smallest = (choice(r.quantity for r in readings) for choice in (max, min))
    worn, original = clean_up(largest, last_cut(nominal, smallest), ALLOWANCE)
    worst = 1 + max(range(len(readings)), key=lambda place: readings[place].number)
    values: dict[str, Expected] = {"worst_cylinder": worst, "clean_up": worn, "clean_up_original_centre": original}
    for centre, needs in (("worn", worn), ("original", original)):
        for name, step in zip(("oversize", "runner_up"), fitting(nominal, needs)):
            values[f"{name}_{centre}_centre"] = step
    return Case("bore oversize " + " ".join(map(str, readings)) + f" nominal={nominal}", values)


def hone(draw: Draw) -> Case:
    """Target = own piston + clearance; stock = target - bore (definition)."""
    _, bores = block(draw, draw.whole(1, 8))
    pistons = [draw.near(bore, -0.002, 0.001) for bore in bores]
    clearance = draw.length(0.0015, 0.0050)
    values: dict[str, Expected] = {}
    for place, (bore, piston) in enumerate(zip(bores, pistons), 1):
        values[f"target_{place}"] = piston.quantity + clearance.quantity
        values[f"stock_{place}"] = piston.quantity + clearance.quantity - bore.quantity
    return Case(f"bore hone bore={listed(bores)} piston={listed(pistons)} clearance={clearance}", values)


def sleeve(draw: Draw) -> Case:
    """The temperature at which hole - sleeve is the drop-in clearance, each grown by a L dT: found by root finding."""
    hole, drop = draw.length(2.8, 5.2), draw.length(0.001, 0.004)
    liner_size = draw.near(hole, 0.0015, 0.0040)
    metals = ["cast-iron", "ductile-iron", "steel", "aluminium"]
    block_metal, liner_metal = draw.one_of(metals), draw.one_of(metals)
    warm, cold = draw.temperature(20, 120), draw.temperature(-60, 20)

    def room(block_temp: float, sleeve_temp: float) -> Quantity:
        grown = at(hole.quantity, EXPANSION[block_metal], Typed(block_temp, "C"))
        return grown - at(liner_size.quantity, EXPANSION[liner_metal], Typed(sleeve_temp, "C"))

    def short(block_temp: float, sleeve_temp: float) -> float:
        return float((room(block_temp, sleeve_temp) - drop.quantity).to("micrometer").magnitude)

    warm_c, cold_c = (float(t.quantity.to("degC").magnitude) for t in (warm, cold))
    values: dict[str, Expected] = {
        "interference": liner_size.quantity - hole.quantity,
        "per_hole": (liner_size.quantity - hole.quantity) / hole.quantity,
        "clearance_now": room(warm_c, cold_c),
        "block_temperature": celsius(brentq(lambda t: short(t, cold_c), -1000, 1000, xtol=1e-10)),
    }
    chilled = brentq(lambda t: short(warm_c, t), -1000, 1000, xtol=1e-10)
    if chilled > -273.15:
        values["sleeve_temperature"] = celsius(chilled)
    line = f"bore sleeve hole={hole} sleeve={liner_size} drop={drop} block-temp={warm} sleeve-temp={cold}"
    return Case(f"{line} block={block_metal} liner={liner_metal}", values)


SUMS = {"bore grid": grid, "bore oversize": oversize, "bore hone": hone, "bore sleeve": sleeve}
