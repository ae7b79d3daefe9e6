"""Conversions, against pint's own factors (NIST SP 811); inches to the nearest sixty-fourth by exact fractions."""

from fractions import Fraction

from case import Case
from draw import Draw
from quantities import WRITTEN, Typed, quantity

KINDS = [
    ["in", "mm", "thou", "tenths", "cm", "um", "m", "ft"],
    ["cm2", "sq in", "mm2"],
    ["cc", "cu in", "l"],
    ["Nm", "lb-ft", "lb-in", "kgf-m"],
    ["lbf", "N", "kN", "kgf"],
    ["psi", "kPa", "bar", "MPa", "GPa", "ksi", "kgf/cm2"],
    ["g", "kg", "oz", "lb"],
    ["cP", "ureyn"],
    ["lbf/in", "N/mm", "kgf/mm"],
    ["°C", "°F"],
]

# Kinds of which every unit the shop meets stands above.
EVERY = KINDS[:3]


def convert(draw: Draw) -> Case:
    """To one unit, to a fraction, or to every unit of lengths and volumes."""
    if draw.chance(0.2):
        return fraction(draw)
    if draw.chance(0.2):
        kind = draw.one_of(EVERY)
        value = Typed(draw.real(0.5, 400, 3), draw.one_of(kind))
        return Case(f"convert {value}", {there: value.quantity for there in kind if there != value.written})
    here, there = draw.random.sample(draw.one_of(KINDS), 2)
    value = Typed(draw.real(0.5, 400, 3), here)
    return Case(f"convert {value} {there}", {"converted": value.quantity.to(WRITTEN[there])})


def fraction(draw: Draw) -> Case:
    value = draw.length(0.05, 6)
    exact = Fraction(str(value.number)) / (Fraction("25.4") if value.written == "mm" else 1)
    nearest = Fraction(int(exact * 64 + Fraction(1, 2)), 64)
    values = {"fraction": quantity(float(nearest), "in"), "error": quantity(float(exact - nearest), "in")}
    return Case(f"convert {value} fraction", values)


SUMS = {"convert": convert}
