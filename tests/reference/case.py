"""One random case of one sum: the line that is typed, and what general libraries make of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from pint import Quantity

# Double precision keeps some 1e-16 of a size; a difference of two sizes a thousandth apart still keeps 1e-12 of itself.
RELATIVE = 1e-9
# What counts as nothing, in the SI unit: lengths are a metre at most, of which double precision keeps 1e-16.
FLOOR = 1e-14


@dataclass(frozen=True)
class Near:
    """A value compared more loosely than to 1e-9, and why."""

    value: Quantity | float
    why: str
    relative: float = RELATIVE
    # In the SI unit.
    floor: float = FLOOR


Expected = Quantity | float | Near


@dataclass(frozen=True)
class Case:
    """Every number of the reply must be expected, by its name."""

    line: str
    values: Mapping[str, Expected] = field(default_factory=dict)
    # Where the limits stand on the line itself.
    verdict: str | None = None
