"""Bolts: preload, torque, stretch, angle, adapter, stages, grades."""

from math import pi

import numpy
from pint import Quantity
from scipy.optimize import brentq

from case import Case, Expected
from draw import Draw
from fasteners import Bolt, bolt
from quantities import Typed, quantity

MODULUS = quantity(205, "GPa")
STAGES = {1: (1.0,), 2: (0.5, 1.0), 3: (0.4, 0.7, 1.0), 4: (0.3, 0.55, 0.8, 1.0), 5: (0.2, 0.4, 0.6, 0.8, 1.0)}


def grade(draw: Draw) -> Case:
    """The standard's tables; proof load = proof strength x stress area."""
    one = bolt(draw)
    values = {
        "proof": one.proof,
        "yield": one.yields,
        "tensile": one.tensile,
        "proof_load": one.proof * one.stress_area,
    }
    return Case(f"bolt grade {one.grade} {one.thread}", values)


def preload(draw: Draw) -> Case:
    """A share of the proof load (Shigley, bolted joints)."""
    one, share = bolt(draw), draw.whole(50, 90)
    load = one.proof * one.stress_area
    values = {"preload": share / 100 * load, "proof_load": load, "stress": share / 100 * one.proof}
    return Case(f"bolt preload {one.thread} {one.grade} share={share}%", values)


def torque(draw: Draw) -> Case:
    """The full form of ISO 16047 beside its shorthand and T = K d F; a preload for a torque by root finding."""
    one = bolt(draw)
    thread, head, factor = draw.real(0.08, 0.2, 3), draw.real(0.08, 0.2, 3), draw.real(0.12, 0.22, 3)
    ring = one.diameter * 1.3
    line = f"bolt torque {one.thread} {one.grade} thread-friction={thread} head-friction={head} nut-factor={factor}"
    if draw.chance():
        size = draw.length(1, 1)
        size = Typed(
            round(float(one.diameter.to("inch" if size.written == "in" else "mm").magnitude) * 1.35, 3), size.written
        )
        ring, line = size.quantity, f"{line} ring={size}"

    def takes(load: Quantity, times: float = 1.0) -> Quantity:
        return one.torque(load, thread * times, head * times, ring)

    def makes(wanted: Quantity, times: float = 1.0) -> Quantity:
        def short(newtons: float) -> float:
            return float((takes(quantity(newtons, "N"), times) - wanted).to("N * m").magnitude)

        return quantity(brentq(short, 1, 1e7, xtol=1e-9, rtol=1e-14), "N")

    if draw.chance():
        most = float(takes(one.proof * one.stress_area).to("N * m").magnitude)
        turned = draw.torque(0.3 * most, 0.7 * most)
        line, twist = f"{line} torque={turned}", turned.quantity
        load = makes(twist)
    else:
        load = 0.75 * one.proof * one.stress_area
        twist = takes(load)
    values = {
        "torque": twist,
        "torque_shorthand": load * (0.159 * one.pitch + 0.577 * thread * one.pitch_diameter + head * ring / 2),
        "torque_nut_factor": factor * one.diameter * load,
        "preload": load,
        "preload_friction_low": makes(twist, 2 / 3),
        "preload_friction_high": makes(twist, 4 / 3),
        "nut_factor": twist / (one.diameter * load),
    }
    return Case(line, values)


def stepped(draw: Draw, one: Bolt) -> tuple[str, Quantity, Quantity]:
    """Plain parts and free thread: as typed, and length over area of all, without and with what the ends add."""
    unit = "mm" if draw.metric else "in"
    plain = [draw.lengths(1, 0.5, 2.0, 3)[0] for _ in range(draw.whole(1, 3))]
    shank = float(one.diameter.to("mm" if draw.metric else "inch").magnitude)
    across = [Typed(round(shank * draw.real(0.78, 1.0, 3), 4), unit) for _ in plain]
    free = draw.lengths(1, 0.2, 0.6, 3)[0]
    typed = " ".join(f"length={p} diameter={a}" for p, a in zip(plain, across)) + f" threaded={free}"
    springs = [p.quantity / (pi / 4 * a.quantity**2) for p, a in zip(plain, across)]
    total = sum(springs, free.quantity / one.stress_area)
    # Half a diameter of engaged thread, half a diameter of head (VDI 2230, from memory).
    ends = one.diameter / 2 / one.stress_area + one.diameter / 2 / (pi / 4 * one.diameter**2)
    return typed, total, total + ends


def stretch(draw: Draw) -> Case:
    """Springs in a row: F sum(L / A E) (Shigley, bolted joints)."""
    one = bolt(draw)
    typed, bare, whole = stepped(draw, one)
    line = f"bolt stretch {one.thread} {one.grade} {typed}"
    if draw.chance():
        measured = draw.length(0.003, 0.006)
        loads = [measured.quantity * MODULUS / springs for springs in (bare, whole)]
        return Case(f"{line} measured={measured}", {"preload": loads[0], "preload_with_allowance": loads[1]})
    load = 0.75 * one.proof * one.stress_area
    values = {
        "preload": load,
        "stretch": load * bare / MODULUS,
        "stretch_with_allowance": load * whole / MODULUS,
    }
    return Case(line, values)


def angle(draw: Draw) -> Case:
    """The pitch is shared by bolt and joint as springs in a row; past yield the elastic figure is only called so."""
    one = bolt(draw)
    typed, _, whole = stepped(draw, one)
    turn, joint = draw.whole(20, 90), draw.real(3, 6, 1)
    snug = draw.torque(5, 15)
    start = snug.quantity / one.torque(quantity(1, "N"), 0.14, 0.14, 1.3 * one.diameter) * quantity(1, "N")
    advance, soft = one.pitch * turn / 360, whole / MODULUS
    # Two springs in a row: their travels add up to the advance, and one force is in both.
    shares = numpy.linalg.solve([[1.0, 1.0], [1.0, -joint]], [1.0, 0.0])
    own = float(shares[0]) * advance
    load, limit = start + own / soft, one.yields * one.stress_area
    values: dict[str, Expected] = {
        "preload_snug": start,
        "preload_rigid": start + advance / soft,
        "stretch_from_snug": own,
    }
    values |= {"preload_elastic": load, "yield_load": limit} if load > limit else {"preload": load}
    return Case(f"bolt angle {one.thread} {one.grade} snug={snug} turn={turn} {typed} joint={joint}", values)


def adapter(draw: Draw) -> Case:
    """One force of the hand, its moment about the drive and about the bolt (statics)."""
    wanted, length, reach = draw.torque(30, 160), draw.length(12, 24, 1), draw.length(1, 5, 2)
    turned = draw.whole(0, 180)
    bolt_at = (
        numpy.array([numpy.cos(numpy.radians(turned)), numpy.sin(numpy.radians(turned))])
        * -reach.quantity.to("m").magnitude
    )
    hand = numpy.array([length.quantity.to("m").magnitude, 0.0])
    # The hand pulls square to the handle: only the arm along it counts.
    ratio = float(hand[0] / (hand - bolt_at)[0])
    return Case(
        f"bolt adapter {wanted} length={length} reach={reach} angle={turned}",
        {"set": wanted.quantity * ratio, "ratio": ratio},
    )


def order(draw: Draw) -> Case:
    """How many bolts, and the shares of the torque (common practice)."""
    final, stages = draw.torque(30, 160), draw.whole(1, 5)
    if draw.chance():
        bolts = draw.whole(3, 24)
        line = f"bolt order circle={bolts}"
    else:
        rows, columns = draw.whole(1, 6), draw.whole(2, 16)
        bolts, line = rows * columns, f"bolt order {rows} {columns}"
    values: dict[str, Expected] = {"bolts": bolts}
    values |= {f"stage_{at}": share * final.quantity for at, share in enumerate(STAGES[stages], 1)}
    return Case(f"{line} torque={final} stages={stages}", values)


SUMS = {
    "bolt preload": preload,
    "bolt torque": torque,
    "bolt stretch": stretch,
    "bolt angle": angle,
    "bolt adapter": adapter,
    "bolt order": order,
    "bolt grade": grade,
}
