"""Threads and grades of bolts, and the torque that a preload takes."""

from dataclasses import dataclass
from math import atan, cos, pi, radians, sqrt, tan

from pint import Quantity

from draw import Draw
from quantities import quantity

# Proof, yield and tensile strength. ISO 898-1 in MPa, sizes to M16 here; SAE J429 in ksi, sizes to 3/4 in here.
GRADES: dict[str, dict[str, tuple[int, int, int]]] = {
    "MPa": {
        "4.6": (225, 240, 400),
        "4.8": (310, 340, 420),
        "5.6": (280, 300, 500),
        "5.8": (380, 420, 520),
        "6.8": (440, 480, 600),
        "8.8": (580, 640, 800),
        "9.8": (650, 720, 900),
        "10.9": (830, 940, 1040),
        "12.9": (970, 1100, 1220),
    },
    "ksi": {
        "grade-1": (33, 36, 60),
        "grade-2": (55, 57, 74),
        "grade-4": (65, 100, 115),
        "grade-5": (85, 92, 120),
        "grade-5.2": (85, 92, 120),
        "grade-7": (105, 115, 133),
        "grade-8": (120, 130, 150),
        "grade-8.2": (120, 130, 150),
    },
}
METRIC = [
    (6, 1.0),
    (8, 1.25),
    (8, 1.0),
    (10, 1.5),
    (10, 1.25),
    (11, 1.25),
    (12, 1.75),
    (12, 1.25),
    (14, 1.5),
    (16, 2.0),
]
INCH = [
    ("1/4", 28),
    ("5/16", 18),
    ("3/8", 16),
    ("3/8", 24),
    ("7/16", 14),
    ("7/16", 20),
    ("1/2", 13),
    ("1/2", 20),
    ("9/16", 18),
    ("3/4", 16),
]


@dataclass(frozen=True)
class Bolt:
    """A thread and a grade."""

    thread: str
    grade: str
    diameter: Quantity
    pitch: Quantity
    stress_area: Quantity
    proof: Quantity
    yields: Quantity
    tensile: Quantity

    @property
    def pitch_diameter(self) -> Quantity:
        """d - 3/4 H, H = P sqrt(3) / 2 the height of the sharp triangle (ISO 68-1, ASME B1.1)."""
        return self.diameter - 0.75 * sqrt(3) / 2 * self.pitch

    def torque(self, preload: Quantity, thread: float, head: float, ring: Quantity) -> Quantity:
        """A wedge of the pitch's slope with flanks of 30 degrees, and friction under the head (ISO 16047)."""
        slope = atan(float((self.pitch / (pi * self.pitch_diameter)).to("dimensionless").magnitude))
        friction = atan(thread / cos(radians(30)))
        return preload * (self.pitch_diameter / 2 * tan(slope + friction) + head * ring / 2)


def bolt(draw: Draw) -> Bolt:
    """Stress area by each standard's own formula: ISO 898-1, ASME B1.1."""
    if draw.metric:
        size, pitch_mm = draw.one_of(METRIC)
        thread, diameter, pitch, factor = (
            f"M{size}x{pitch_mm:g}",
            quantity(size, "mm"),
            quantity(pitch_mm, "mm"),
            0.9382,
        )
    else:
        size_in, per_inch = draw.one_of(INCH)
        over, under = map(int, size_in.split("/"))
        thread, diameter = f"{size_in}-{per_inch}", quantity(over / under, "in")
        pitch, factor = quantity(1, "in") / per_inch, 0.9743
    unit = "MPa" if draw.metric else "ksi"
    grade = draw.one_of(list(GRADES[unit]))
    area = pi / 4 * (diameter - factor * pitch) ** 2
    return Bolt(thread, grade, diameter, pitch, area, *(quantity(s, unit) for s in GRADES[unit][grade]))
