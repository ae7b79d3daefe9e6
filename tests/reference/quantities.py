"""Units: how a quantity is typed on a line, and what the unit of an answer means.

Every number goes through pint from the line to the comparison, so that a slip of unit shows.
"""

import numpy
from pint import Quantity, UnitRegistry

REGISTRY: UnitRegistry = UnitRegistry(autoconvert_offset_to_baseunit=True)
REGISTRY.define("tenths = inch / 10000")
REGISTRY.define("ksi_of_strength = 1000 * force_pound / inch ** 2")
REGISTRY.define("ureyn = 1e-6 * force_pound * second / inch ** 2")

# As a line writes it: what it means. Temperatures are places on a scale, never differences.
WRITTEN: dict[str, str] = {
    "": "dimensionless",
    "%": "percent",
    "deg": "degree",
    "in": "inch",
    "mm": "millimeter",
    "thou": "thou",
    "tenths": "tenths",
    "cm": "centimeter",
    "um": "micrometer",
    "m": "meter",
    "ft": "foot",
    "sq in": "inch ** 2",
    "cm2": "centimeter ** 2",
    "mm2": "millimeter ** 2",
    "cc": "centimeter ** 3",
    "cu in": "inch ** 3",
    "l": "liter",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "°C": "degC",
    "°F": "degF",
    "C": "degC",
    "F": "degF",
    "N": "newton",
    "kN": "kilonewton",
    "lbf": "force_pound",
    "kgf": "force_kilogram",
    "N/mm": "newton / millimeter",
    "lbf/in": "force_pound / inch",
    "kgf/mm": "force_kilogram / millimeter",
    "kPa": "kilopascal",
    "bar": "bar",
    "MPa": "megapascal",
    "GPa": "gigapascal",
    "psi": "force_pound / inch ** 2",
    "ksi": "ksi_of_strength",
    "kgf/cm2": "force_kilogram / centimeter ** 2",
    "Nm": "newton * meter",
    "lb-ft": "force_pound * foot",
    "lb-in": "force_pound * inch",
    "kgf-m": "force_kilogram * meter",
    "rpm": "revolution / minute",
    "ft/min": "foot / minute",
    "m/s": "meter / second",
    "m/s2": "meter / second ** 2",
    "mPa s": "millipascal * second",
    "cP": "centipoise",
    "ureyn": "ureyn",
}


def quantity(number: float, written: str) -> Quantity:
    """A number with the unit a line writes behind it."""
    return REGISTRY.Quantity(number, WRITTEN[written])


def plain(number: float) -> str:
    """A number in digits, without an exponent."""
    return str(numpy.format_float_positional(number, trim="-"))


class Typed:
    """A quantity together with the very text that stands on the line for it."""

    def __init__(self, number: float, written: str) -> None:
        self.number = number
        self.written = written
        self.quantity: Quantity = quantity(number, written)

    def __str__(self) -> str:
        return f"{plain(self.number)}{' ' * (' ' in self.written)}{self.written}"


def listed(values: list[Typed]) -> str:
    """Several values of one unit in one field: `"4.0003 4.0006 in"`."""
    units = {value.written for value in values}
    if len(units) != 1:
        raise ValueError(f"one unit in a list, not {sorted(units)}")
    return '"' + " ".join(plain(value.number) for value in values) + f' {units.pop()}"'


def metres(value: Quantity) -> float:
    """A length as the plain number that numpy and scipy take."""
    return float(value.to("meter").magnitude)
