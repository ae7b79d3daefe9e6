"""The crankshaft: run-out, end float, side clearance, bobweight, stroke."""

import numpy
from uncertainties import ufloat

from case import Case, Expected
from draw import Draw
from quantities import Typed, listed, quantity

END_FLOAT = (quantity(0.004, "in"), quantity(0.008, "in"))
# Least side clearance of two rods on a pin: common practice.
SIDE = quantity(0.010, "in")
# A size on a limit is inside it.
NANOMETRE = quantity(1e-6, "mm")


def runout(draw: Draw) -> Case:
    """numpy's least squares of mean + a cos + b sin; uncertainty carried by the uncertainties package (GUM)."""
    count = draw.whole(3, 16)
    throw, phase = draw.real(0.0002, 0.0008, 5), draw.real(0, 360, 0)
    angles = 2 * numpy.pi * numpy.arange(count) / count
    turned = throw * numpy.cos(angles - numpy.radians(phase))
    nought = Typed(0.0, "mm" if draw.metric else "in")
    readings = [draw.near(nought, at, at + 0.0001, 5) for at in turned]
    known = draw.near(Typed(0.0, readings[0].written), 0.00005, 0.0002, 5)
    dial = numpy.array([r.number for r in readings])
    unit = readings[0].written
    terms = numpy.column_stack([numpy.ones(count), numpy.cos(angles), numpy.sin(angles)])
    fit, *_ = numpy.linalg.lstsq(terms, dial, rcond=None)
    pull = numpy.linalg.pinv(terms)
    unsure = [ufloat(value, known.number) for value in dial]
    a, b = (sum(share * value for share, value in zip(row, unsure)) for row in pull[1:])
    centre = (a * a + b * b) ** 0.5
    values: dict[str, Expected] = {
        "tir": quantity(numpy.ptp(dial), unit),
        "eccentricity": quantity(float(numpy.hypot(fit[1], fit[2])), unit),
        "worst_residual": quantity(float(numpy.abs(dial - terms @ fit).max()), unit),
        "high_spot": quantity(float(numpy.degrees(numpy.arctan2(fit[2], fit[1])) % 360), "deg"),
        "tir_uncertainty": quantity((unsure[int(dial.argmax())] - unsure[int(dial.argmin())]).std_dev, unit),
        "eccentricity_uncertainty": quantity(centre.std_dev, unit),
    }
    return Case("crank runout " + " ".join(map(str, readings)) + f" uncertainty={known}", values)


def end_float(draw: Draw) -> Case:
    """A thicker washer takes up its own excess on every side it is fitted (geometry)."""
    found, fitted = draw.length(0.0085, 0.018), draw.length(0.088, 0.096)
    offered = [draw.near(fitted, 0.001, 0.008) for _ in range(draw.whole(1, 4))]
    sides = draw.whole(1, 2)
    low, high = END_FLOAT
    middle = (low + high) / 2

    def left(washer: Typed) -> Expected:
        return found.quantity - sides * (washer.quantity - fitted.quantity)

    values: dict[str, Expected] = {
        "end_float": found.quantity,
        "ideal_washer": fitted.quantity + (found.quantity - middle) / sides,
    }
    if fits := [washer for washer in offered if low - NANOMETRE <= left(washer) <= high + NANOMETRE]:
        best = min(fits, key=lambda washer: abs(left(washer) - middle))
        values |= {"washer": best.quantity, "end_float_with_it": left(best)}
    line = f"crank end-float {found} " + " ".join(map(str, offered))
    return Case(f"{line} fitted={fitted} sides={('one', 'both')[sides - 1]}", values)


def side(draw: Draw) -> Case:
    """Pin between its cheeks - the rods on it (definition)."""
    rods = draw.lengths(draw.whole(1, 2), 0.85, 1.05)
    pin = Typed(round(sum(rod.number for rod in rods), 4), rods[0].written)
    pin = draw.near(pin, 0.004, 0.022)
    found = pin.quantity - sum((rod.quantity for rod in rods[1:]), rods[0].quantity)
    values: dict[str, Expected] = {"side_clearance": found}
    if len(rods) == 2 and found < SIDE:
        values["short_by"] = SIDE - found
    return Case(f"crank side {pin} " + " ".join(map(str, rods)), values)


def balance(draw: Draw) -> Case:
    """Each piston pulls m cos along its bore; Fourier splits the sum into what turns with the crank and against it."""
    piston, pin, small, big = (draw.weight(*span) for span in ((350, 800), (90, 200), (140, 260), (320, 600)))
    rings, locks, shells, oil = (draw.weight(*span) for span in ((30, 80), (2, 8), (30, 70), (2, 9)))
    bank, share = draw.whole(40, 120), draw.real(46, 54, 1)
    each = piston.quantity + pin.quantity + small.quantity + rings.quantity + locks.quantity
    turning = 2 * (big.quantity + shells.quantity) + oil.quantity
    turn = 2 * numpy.pi * numpy.arange(64) / 64
    bores = numpy.radians([bank / 2, -bank / 2])
    pull = sum(numpy.cos(turn - bore) * numpy.exp(1j * bore) for bore in bores)
    parts = numpy.fft.fft(pull) / len(turn)
    forward, backward = abs(parts[1]), float(parts[-1].real)
    # The counterweight's even share is what the forward part carries: a half of both.
    if abs(forward - 1) > 1e-12:
        raise RuntimeError("two pistons pull with the mass of one round the crank, whatever the bank")
    values: dict[str, Expected] = {
        "bobweight": turning + share / 100 * 2 * each,
        "rotating": turning,
        "reciprocating": 2 * each,
        "reciprocating_each": each,
        "left_backward": backward * each,
    }
    line = f"crank balance {piston} {pin} {small} {big} rings={rings} locks={locks} shells={shells} oil={oil}"
    return Case(f"{line} bank={bank} share={share}", values)


def stroke(draw: Draw) -> Case:
    """Twice the throw; or the height over one side of the pin at the top less that at the bottom (geometry)."""
    count = draw.whole(1, 6)
    if draw.chance():
        throw = draw.lengths(1, 1.4, 2.4)[0]
        throws = [draw.near(throw, 0, 0.002) for _ in range(count)]
        found = [2 * t.quantity for t in throws]
        line = "crank stroke " + " ".join(map(str, throws))
    else:
        tops = draw.lengths(1, 9, 10)
        tops = [draw.near(tops[0], 0, 0.002) for _ in range(count)]
        low = draw.near(tops[0], -4.2, -2.8)
        bottoms = [draw.near(low, 0, 0.002) for _ in range(count)]
        found = [t.quantity - b.quantity for t, b in zip(tops, bottoms)]
        line = f"crank stroke top={listed(tops)} bottom={listed(bottoms)}"
    values: dict[str, Expected] = {
        "stroke": sum(found[1:], found[0]) / count,
        "spread": max(found) - min(found),
    }
    if count > 1:
        values |= {f"stroke_{place}": one for place, one in enumerate(found, 1)}
    return Case(line, values)


SUMS = {
    "crank runout": runout,
    "crank end-float": end_float,
    "crank side": side,
    "crank balance": balance,
    "crank stroke": stroke,
}
