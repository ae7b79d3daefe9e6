"""The formulas that the tables of ISO 286 were rounded from, and how far the rounding goes. From memory.

Micrometres; D is the geometric mean of the ends of a step of nominal size in millimetres.
"""

from bisect import bisect_left
from dataclasses import dataclass
from math import sqrt

STEPS = [3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500]
# Above 50 mm the letters r and s change in finer steps.
FINE = [3, 6, 10, 18, 30, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500]
TIMES = {5: 7, 6: 10, 7: 16, 8: 25, 9: 40, 10: 64, 11: 100}


@dataclass(frozen=True)
class Rounded:
    """What a formula gives, and how far from it the table may have been rounded."""

    value: float
    slack: float

    def __add__(self, other: "Rounded") -> "Rounded":
        return Rounded(self.value + other.value, self.slack + other.slack)

    def __neg__(self) -> "Rounded":
        return Rounded(-self.value, self.slack)


def mean(size: float, ends: list[int]) -> float:
    at = bisect_left(ends, size)
    return sqrt(ends[at - 1] * ends[at])


def width(size: float, grade: int) -> Rounded:
    """IT5 to IT11 are 7 to 100 times i = 0.45 D^(1/3) + 0.001 D."""
    d = mean(size, STEPS)
    value = TIMES[grade] * (0.45 * d ** (1 / 3) + 0.001 * d)
    return Rounded(value, max(0.75, 0.04 * value))


def shaft(letter: str, grade: int, size: float) -> tuple[Rounded, Rounded]:
    """Lower and upper deviation of a shaft."""
    d, it = mean(size, STEPS), width(size, grade)
    if letter == "h":
        return -it, Rounded(0, 0)
    if letter == "js":
        half = Rounded(it.value / 2, it.slack / 2)
        return -half, half
    if letter in "defg":
        factor, power = {"d": (16, 0.44), "e": (11, 0.41), "f": (5.5, 0.41), "g": (2.5, 0.34)}[letter]
        above = factor * d**power
        top = Rounded(-above, max(1.0, 0.04 * above))
        return top + -it, top
    low = _over(letter, size, d)
    return low, low + it


def _over(letter: str, size: float, d: float) -> Rounded:
    """Lower deviation of a shaft that lies above nominal; k for grades up to 7."""
    it6, it7, it8 = (width(size, grade) for grade in (6, 7, 8))
    fine = mean(size, FINE)
    # p is IT7 and 0 to 5 um; s is IT8 and 1 to 4 um, above 50 mm IT7 + 0.4 D; r the geometric mean of both.
    p = Rounded(it7.value + 1, it7.slack + 4)
    s = Rounded(it8.value + 2, it8.slack + 2) if size <= 50 else Rounded(it7.value + 0.4 * fine, it7.slack + 2)
    r = sqrt(p.value * s.value)
    return {
        "k": Rounded(0.6 * d ** (1 / 3), 1.0),
        "m": Rounded(it7.value - it6.value, it6.slack + it7.slack),
        "n": Rounded(5 * d**0.34, max(1.0, 0.04 * 5 * d**0.34)),
        "p": p,
        "r": Rounded(r, r / 2 * (p.slack / p.value + s.slack / s.value)),
        "s": s,
    }[letter]


def hole(letter: str, grade: int, size: float) -> tuple[Rounded, Rounded]:
    """Lower and upper deviation of a hole: a shaft's turned over, fine K to S by IT - the next finer IT more."""
    low, high = shaft(letter.lower(), grade, size)
    if letter in ("D", "E", "F", "G", "H", "JS"):
        return -high, -low
    it, finer = width(size, grade), width(size, grade - 1)
    more = Rounded(it.value - finer.value, it.slack + finer.slack)
    top = -low + more
    return top + -it, top
