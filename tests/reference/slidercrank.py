"""The slider-crank by its own definition, in 40 digits: the pin lies where the rod reaches the bore's line.

Nothing is taken from the closed forms of a textbook: position is the circle of the rod cut by the line of the bore,
speed and acceleration are mpmath's numerical derivatives of it, dead centres and peaks are found as their roots.
"""

from functools import cached_property

import mpmath
from mpmath import mpf
from scipy.optimize import minimize_scalar

mpmath.mp.dps = 40
DEGREE = mpmath.pi / 180


class SliderCrank:
    """Lengths in metres; the pin's line lies `offset` toward the side the crank pin comes from."""

    def __init__(self, stroke: float, rod: float, offset: float) -> None:
        self.throw, self.rod, self.offset = mpf(stroke) / 2, mpf(rod), mpf(offset)

    def height(self, angle: mpf) -> mpf:
        """Of the pin above the crankshaft, the crank pin `angle` past upright."""
        across = self.throw * mpmath.sin(angle) + self.offset
        lean = mpmath.asin(across / self.rod)
        return self.throw * mpmath.cos(angle) + self.rod * mpmath.cos(lean)

    @cached_property
    def top(self) -> mpf:
        """The crank's angle at which the pin is highest: where its speed is nothing."""
        return mpmath.findroot(lambda angle: mpmath.diff(self.height, angle), mpf(0))

    @cached_property
    def bottom(self) -> mpf:
        return mpmath.findroot(lambda angle: mpmath.diff(self.height, angle), mpmath.pi)

    @cached_property
    def travel(self) -> mpf:
        return self.height(self.top) - self.height(self.bottom)

    def drop(self, degrees: float) -> mpf:
        """Of the piston below its top, at degrees past it."""
        return self.height(self.top) - self.height(self.top + degrees * DEGREE)

    def speed(self, degrees: float) -> mpf:
        """Downward, per radian."""
        return -mpmath.diff(self.height, self.top + degrees * DEGREE)

    def acceleration(self, degrees: float) -> mpf:
        """Downward, per radian squared."""
        return -mpmath.diff(self.height, self.top + degrees * DEGREE, 2)

    @cached_property
    def fastest(self) -> mpf:
        """Degrees past top at which it goes down fastest: where its acceleration is nothing."""
        return mpmath.findroot(self.acceleration, mpf(75))

    @cached_property
    def hardest(self) -> mpf:
        """Greatest acceleration, near the top: a search for the place, whose error does not reach the value."""
        found = minimize_scalar(lambda at: -float(self.acceleration(at)), bounds=(-30, 30), method="bounded")
        return self.acceleration(found.x)
