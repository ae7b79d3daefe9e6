"""Volumes and ratios of the cylinder, and cylinders held against each other."""

import statistics
from math import pi

import numpy
from pint import Quantity
from scipy.optimize import brentq

from case import Case, Expected, Near
from draw import Draw
from families.piston import crankwork
from quantities import Typed, quantity

CC, MILLIMETRE = quantity(1, "cc"), quantity(1, "mm")
# Limits of squish with steel rods, and a size on a limit is inside it: common practice.
SQUISH = (quantity(0.040, "in"), quantity(0.060, "in"))
NANOMETRE = quantity(1e-6, "mm")
FLAT = "a flat top hides its place"


def disc(diameter: Quantity) -> Quantity:
    return pi / 4 * diameter**2


def displacement(draw: Draw) -> Case:
    """Swept volume of a circle (Heywood, Internal Combustion Engine Fundamentals, 2.2)."""
    bore, stroke, count = draw.length(2.6, 5.4), draw.length(2.6, 5.4), draw.whole(1, 12)
    one = disc(bore.quantity) * stroke.quantity
    line = f"cylinder displacement {bore} {stroke} {count}"
    return Case(line, {"displacement": one * count, "cylinder": one})


def compression(draw: Draw) -> Case:
    """(Swept + clearance) / clearance; each part for a target by root finding on the forward sum."""
    bore, stroke = draw.length(3.2, 4.6), draw.length(2.9, 4.4)
    swept = disc(bore.quantity) * stroke.quantity
    cc = float(swept.to("cm ** 3").magnitude)
    chamber, dish = draw.volume(cc * 0.07, cc * 0.11), draw.volume(-cc * 0.01, cc * 0.015)
    gasket, hole = draw.length(0.025, 0.060), draw.near(bore, 0.01, 0.12)
    deck, target = draw.length(-0.004, 0.025), draw.real(7.5, 13, 2)
    poured = draw.chance(0.2)
    burnt = draw.volume(5, 12)

    def room(chamber: Quantity, dish: Quantity, gasket: Quantity, deck: Quantity) -> Quantity:
        head = burnt.quantity if poured else disc(hole.quantity) * gasket
        return chamber + dish + head + disc(bore.quantity) * deck

    whole = {"chamber": chamber.quantity, "dish": dish.quantity, "gasket": gasket.quantity, "deck": deck.quantity}
    left = room(**whole)
    values: dict[str, Expected] = {
        "ratio": (swept + left) / left,
        "swept": swept,
        "clearance_volume": left,
        "deck": deck.quantity,
    }
    # A part is offered from nothing to the whole swept volume; a gasket as thick as can be bought and not thinner than
    # the piston stands proud; the deck may only be cut, to where crown and gasket meet.
    thickness, depth = (float(q.quantity.to("mm").magnitude) for q in (gasket, deck))
    spans = {"chamber": (0, cc, CC), "dish": (-cc, cc, CC), "deck": (-10 if poured else -thickness, depth, MILLIMETRE)}
    if not poured:
        values["squish"] = deck.quantity + gasket.quantity
        spans["gasket"] = (max(0.1, -depth), 5, MILLIMETRE)
    for part, (low, high, unit) in spans.items():

        def over(value: float, part: str = part, unit: Quantity = unit) -> float:
            """Room left less the room that the target wants."""
            changed = room(**(whole | {part: value * unit}))
            return float((changed - swept / (target - 1)).to("cm ** 3").magnitude)

        if over(low) < 0 < over(high):
            values[f"{part}_for_target"] = brentq(over, low, high, xtol=1e-13) * unit
    head = f"gasket-volume={burnt}" if poured else f"gasket={gasket} gasket-bore={hole}"
    line = f"cylinder compression bore={bore} stroke={stroke} chamber={chamber} dish={dish} {head} deck={deck}"
    return Case(f"{line} target={target}", values)


def effective(draw: Draw) -> Case:
    """Only the travel left when the valve shuts squeezes; static for a target by root finding."""
    typed, crank = crankwork(draw)
    ratio, target = draw.real(8, 12, 2), draw.real(6.5, 9, 2)
    if draw.chance():
        closing = draw.real(30, 85, 1)
        event = f"{closing}"
    else:
        duration, centreline = draw.whole(240, 300), draw.whole(100, 116)
        closing = duration / 2 + centreline - 180
        event = f"duration={duration} centreline={centreline}"
    left = crank.drop(180 + closing)
    share = float(left / crank.travel)

    def squeezed(static: float) -> float:
        """Room above the piston when the valve shuts over room at the top, in parts of the travel."""
        top = 1 / (static - 1)
        return (top + share) / top

    values: dict[str, Expected] = {
        "effective_ratio": squeezed(ratio),
        "effective_stroke": quantity(float(left), "m"),
        "share_of_travel": share,
        "static_for_target": brentq(lambda static: squeezed(static) - target, 2, 60, xtol=1e-12),
    }
    return Case(f"cylinder effective {ratio} {event} {typed} target={target}", values)


def squish(draw: Draw) -> Case:
    """Deck + gasket (definition); the gaskets that keep every corner inside the limits."""
    gasket = draw.length(0.025, 0.060)
    decks = [draw.length(-0.006, 0.020) for _ in range(draw.whole(1, 8))]
    gaps = [d.quantity + gasket.quantity for d in decks]
    values: dict[str, Expected] = {"smallest": min(gaps), "largest": max(gaps)}
    low, high = SQUISH
    thin, thick = low - min(gaps) + gasket.quantity, high - max(gaps) + gasket.quantity
    # Said where this one does not do and one that can be had does.
    if (min(gaps) < low - NANOMETRE or max(gaps) > high + NANOMETRE) and thin <= thick:
        values |= {"gasket_min": thin, "gasket_max": thick}
    return Case("cylinder squish " + " ".join(map(str, decks)) + f" gasket={gasket}", values)


def mill(draw: Draw) -> Case:
    """Area x cut, either way about (definition)."""
    if draw.chance():
        bore, share = draw.length(3, 5), draw.whole(60, 100)
        area, field = share / 100 * disc(bore.quantity), f"bore={bore} share={share}%"
    else:
        traced = Typed(draw.real(45, 95, 1), "cm2") if draw.metric else Typed(draw.real(7, 15, 2), "sq in")
        area, field = traced.quantity, f"area={traced}"
    if draw.chance():
        cut = draw.length(0.004, 0.040)
        values = {"cut": cut.quantity, "volume": cut.quantity * area, "area": area}
        return Case(f"cylinder mill cut={cut} {field}", values)
    volume = draw.volume(0.8, 6)
    values = {"cut": volume.quantity / area, "volume": volume.quantity, "area": area}
    return Case(f"cylinder mill volume={volume} {field}", values)


def leakdown(draw: Draw) -> Case:
    """Worst, spread and median of the cylinders."""
    lost = [draw.whole(3, 45) for _ in range(draw.whole(2, 12))]
    values: dict[str, Expected] = {
        "worst": quantity(max(lost), "%"),
        "spread": quantity(max(lost) - min(lost), "%"),
        "middle": quantity(float(numpy.median(lost)), "%"),
        "worst_cylinder": 1 + lost.index(max(lost)),
    }
    return Case("cylinder leakdown " + " ".join(f"{loss}%" for loss in lost), values)


def compression_test(draw: Draw) -> Case:
    """1 - lowest / best, and the mean."""
    unit = "bar" if draw.metric else "psi"
    span = (7.5, 13.5, 1) if draw.metric else (105, 195, 0)
    read = [Typed(draw.real(*span), unit) for _ in range(draw.whole(2, 12))]
    numbers = [r.number for r in read]
    values: dict[str, Expected] = {
        "spread": 1 - min(numbers) / max(numbers),
        "mean": quantity(statistics.fmean(numbers), unit),
        "lowest_cylinder": 1 + numbers.index(min(numbers)),
        "best_cylinder": 1 + numbers.index(max(numbers)),
    }
    return Case("cylinder compression-test " + " ".join(map(str, read)), values)


def ratio(draw: Draw) -> Case:
    """Rod over stroke; what it does to the piston, from the slider-crank by its definition."""
    typed, crank = crankwork(draw)
    lean = numpy.degrees(numpy.arcsin(float((crank.throw + abs(crank.offset)) / crank.rod)))
    values: dict[str, Expected] = {
        "ratio": float(crank.rod / (2 * crank.throw)),
        "most_lean": quantity(float(lean), "deg"),
        "fastest_at": Near(quantity(float(crank.fastest), "deg"), FLAT, 1e-7),
        "share_at_90": float(crank.drop(90) / crank.travel),
    }
    return Case(f"cylinder ratio {typed}", values)


SUMS = {
    "cylinder displacement": displacement,
    "cylinder compression": compression,
    "cylinder effective": effective,
    "cylinder squish": squish,
    "cylinder mill": mill,
    "cylinder leakdown": leakdown,
    "cylinder compression-test": compression_test,
    "cylinder ratio": ratio,
}
