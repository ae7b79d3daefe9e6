"""Cam timing. Events are put on one wheel of 720 degrees, top at overlap being 0: no rule of thumb is needed."""

import math

from case import Case, Expected
from draw import Draw
from quantities import quantity


def degrees(number: float) -> Expected:
    return quantity(number, "deg")


def middle(opening: float, closing: float) -> float:
    return (opening + closing) / 2


def degree(draw: Draw) -> Case:
    """The middle of the opening, or of two readings at one lift; advance is toward the card's earlier side."""
    lobe, card = draw.one_of(["intake", "exhaust"]), draw.whole(100, 118)
    lift, at = draw.length(0.25, 0.38), draw.length(0.040, 0.060)
    values: dict[str, Expected] = {"lobe_lift": lift.quantity}
    if draw.chance():
        opens, closes = draw.whole(-8, 40), draw.whole(20, 70)
        opening: float
        closing: float
        if lobe == "exhaust":
            opens, closes = closes, opens
        # Intake from before 0 to past 180; exhaust from before 540 (bottom, -180 here) to past 0.
        opening, closing = (-opens, 180 + closes) if lobe == "intake" else (-180 - opens, closes)
        values["duration"] = degrees(closing - opening)
        field = f"opens={opens} closes={closes}"
    else:
        peak, away = float(draw.whole(98, 120)), draw.real(30, 45, 1)
        first, second = peak + (-away if lobe == "intake" else away), peak + (away if lobe == "intake" else -away)
        # An exhaust's angles are counted back from the top.
        opening, closing = (first, second) if lobe == "intake" else (-first, -second)
        field = f"rising={first:.1f} falling={second:.1f}"
    peak_at = middle(opening, closing)
    values["centreline"] = degrees(abs(peak_at))
    carded = card if lobe == "intake" else -card
    # Early is advanced, on both.
    values["advance"] = degrees(carded - peak_at)
    return Case(f"cam degree lobe={lobe} {field} card={card} lift={lift} at={at}", values)


def overlap(draw: Draw) -> Case:
    """From where the intake opens to where the exhaust closes, both on the wheel."""
    if draw.chance():
        opens, closes = draw.whole(-10, 50), draw.whole(-10, 50)
        return Case(f"cam overlap intake-opens={opens} exhaust-closes={closes}", {"overlap": degrees(closes - -opens)})
    intake, exhaust, apart = draw.whole(195, 300), draw.whole(195, 300), draw.real(104, 118, 1)
    # Lobes stand twice their separation apart in crank degrees, whatever the advance.
    advance = draw.whole(-6, 6)
    opening, closing = apart - advance - intake / 2, -apart - advance + exhaust / 2
    return Case(
        f"cam overlap intake={intake} exhaust={exhaust} separation={apart}", {"overlap": degrees(closing - opening)}
    )


def separation(draw: Draw) -> Case:
    """Half the crank degrees between the two peaks; advance is how far their middle stands before the top."""
    intake, exhaust = draw.real(98, 120, 1), draw.real(98, 120, 1)
    values = {"separation": degrees((intake - -exhaust) / 2), "advance": degrees(-middle(-exhaust, intake))}
    return Case(f"cam separation {intake} {exhaust}", values)


def key(draw: Draw) -> Case:
    """Where a point of the shaft comes to when it is turned: the offset of a key, the chord of a dowel's circle."""
    by, gear = draw.real(1, 12, 1) * draw.one_of([1, -1]), draw.one_of(["crank", "cam"])
    diameter, way, teeth = draw.length(0.9, 2.0, 3), draw.one_of(["key", "bush"]), draw.whole(18, 30)
    turned = by if gear == "crank" else by / 2
    radius, angle = diameter.quantity / 2, math.radians(abs(turned))
    across, along = math.sin(angle), 1 - math.cos(angle)
    offset = radius * (across if way == "key" else math.hypot(across, along))
    values = {"offset": offset, "on_shaft": degrees(turned), "tooth": degrees(360 / teeth)}
    return Case(f"cam key {by} gear={gear} diameter={diameter} with={way} teeth={teeth}", values)


SUMS = {"cam degree": degree, "cam overlap": overlap, "cam separation": separation, "cam key": key}
