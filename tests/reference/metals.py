"""Handbook values of metals, and what heat does to a size.

A value of the handbook cannot be computed: these are written down a second time, so that a slip of the pen shows.
"""

from pint import Quantity

from quantities import REGISTRY, Typed, quantity

PER_KELVIN = REGISTRY.Quantity(1e-6, "1 / delta_degC")

# Mean linear expansion, 20 to 100 degrees C. Callister, Materials Science and Engineering, table B.6: grey and nodular
# iron, aluminium 356, bronze C93200. ASM Metals Handbook: A132 and 4032. The others from memory.
EXPANSION: dict[str, Quantity] = {
    metal: millionths * PER_KELVIN
    for metal, millionths in {
        "cast-iron": 11.4,
        "ductile-iron": 11.2,
        "steel": 11.7,
        "alloy-steel": 12.3,
        "austenitic-steel": 18.0,
        "aluminium": 21.5,
        "cast-piston": 19.0,
        "hypereutectic": 18.0,
        "4032": 19.4,
        "2618": 22.3,
        "bronze": 18.0,
    }.items()
}

# Young's modulus in GPa and Poisson's ratio. Shigley, Mechanical Engineering Design, table A-5, from memory; nodular
# iron EN 1563, from memory.
ELASTIC: dict[str, tuple[float, float]] = {
    "steel": (207, 0.292),
    "alloy-steel": (207, 0.291),
    "cast-iron": (100, 0.211),
    "ductile-iron": (169, 0.275),
    "aluminium": (71, 0.334),
    "bronze": (111, 0.349),
}

# Reference temperature of ISO 1.
REFERENCE = Typed(20.0, "C")


def rise(hot: Typed, cold: Typed = REFERENCE) -> Quantity:
    """How much hotter one is than the other."""
    return hot.quantity.to("degC") - cold.quantity.to("degC")


def at_20(size: Quantity, metal: Quantity, temperature: Typed) -> Quantity:
    """The size at 20 degrees C of a part that has `size` at a temperature: L = L20 (1 + a dT)."""
    return size / (1 + (metal * rise(temperature)).to("dimensionless"))


def at(size: Quantity, metal: Quantity, temperature: Typed) -> Quantity:
    """The size at a temperature of a part that has `size` at 20 degrees C."""
    return size * (1 + (metal * rise(temperature)).to("dimensionless"))


def celsius(number: float) -> Quantity:
    return quantity(number, "C")
