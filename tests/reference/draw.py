"""Random cases, the same on every run: half of them inch, half metric, and now and then a value of the other system."""

import random
from collections.abc import Sequence
from typing import TypeVar

from quantities import Typed

T = TypeVar("T")
MILLIMETRES = 25.4


class Draw:
    """Draws the values of one case."""

    def __init__(self, name: str, number: int) -> None:
        self.random = random.Random(f"{name} {number}")
        self.number = number
        self.metric = number % 2 == 1

    def whole(self, low: int, high: int) -> int:
        return self.random.randint(low, high)

    def real(self, low: float, high: float, places: int) -> float:
        return round(self.random.uniform(low, high), places)

    def one_of(self, choices: Sequence[T]) -> T:
        return self.random.choice(choices)

    def chance(self, share: float = 0.5) -> bool:
        return self.random.random() < share

    def length(self, low: float, high: float, places: int = 4) -> Typed:
        """A length between two given in inches, to `places` of an inch or one place less of a millimetre."""
        metric = self.metric != self.chance(0.15)
        return self._length(low, high, places, metric)

    def lengths(self, count: int, low: float, high: float, places: int = 4) -> list[Typed]:
        """Several in the unit of the case, as a list on a line wants them."""
        return [self._length(low, high, places, self.metric) for _ in range(count)]

    def near(self, size: Typed, low: float, high: float, places: int = 4) -> Typed:
        """A length in the unit of `size`, between `low` and `high` inches above it."""
        if size.written == "mm":
            return Typed(round(size.number + self.random.uniform(low, high) * MILLIMETRES, places - 1), "mm")
        return Typed(round(size.number + self.random.uniform(low, high), places), "in")

    def _length(self, low: float, high: float, places: int, metric: bool) -> Typed:
        if metric:
            return Typed(self.real(low * MILLIMETRES, high * MILLIMETRES, places - 1), "mm")
        return Typed(self.real(low, high, places), "in")

    def temperature(self, low: float, high: float) -> Typed:
        """Between two in degrees Celsius."""
        return self._either((low, high, 1, "C"), (low * 1.8 + 32, high * 1.8 + 32, 1, "F"))

    def torque(self, low: float, high: float) -> Typed:
        """Between two in N m."""
        return self._either((low, high, 1, "Nm"), (low / 1.356, high / 1.356, 1, "lb-ft"))

    def force(self, low: float, high: float) -> Typed:
        """Between two in N."""
        return self._either((low, high, 0, "N"), (low / 4.448, high / 4.448, 0, "lbf"))

    def volume(self, low: float, high: float) -> Typed:
        """Between two in cubic centimetres, which both sides of the trade pour."""
        return Typed(self.real(low, high, 1), "cc")

    def weight(self, low: float, high: float) -> Typed:
        """Between two in grams."""
        return self._either((low, high, 1, "g"), (low / 28.35, high / 28.35, 3, "oz"))

    def _either(self, metric: tuple[float, float, int, str], inch: tuple[float, float, int, str]) -> Typed:
        low, high, places, written = metric if self.metric else inch
        return Typed(self.real(low, high, places), written)
