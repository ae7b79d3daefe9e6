"""Rings: gaps by factor, by heat and by nominal size, room in the groove, taper."""

from math import pi

from pint import Quantity

from case import Case, Expected
from draw import Draw
from metals import EXPANSION, rise
from quantities import Typed, listed, quantity

# Gap per unit of bore by duty, least and most: common practice.
FACTORS = {
    "road": {"top": (0.0035, 0.0040), "second": (0.0040, 0.0050)},
    "marine": {"top": (0.0050, 0.0060), "second": (0.0050, 0.0065)},
    "boosted": {"top": (0.0050, 0.0065), "second": (0.0050, 0.0070)},
}
RAIL = quantity(0.015, "in")


def to_file(least: Quantity, measured: Typed) -> Quantity:
    """Least gap - measured, the least gap being no finer than a tenth of a thou: nobody files a millionth."""
    tenths = round(least.to("tenths").magnitude)
    return quantity(tenths, "tenths") - measured.quantity


def gap(draw: Draw) -> Case:
    """Gap = factor x bore; to file = least gap - measured (common practice)."""
    bore = draw.length(2.6, 5.6)
    line, values = f"ring gap {bore}", dict[str, Expected]()
    way = draw.number % 3
    if way == 0:
        for duty, factors in FACTORS.items():
            values[f"gap_min_{duty}"] = factors["top"][0] * bore.quantity
        return Case(line, values)
    if way == 1:
        factor = draw.real(0.003, 0.007, 5)
        return Case(f"{line} factor={factor}", {"gap_min": factor * bore.quantity})
    duty, ring, measured = draw.one_of(list(FACTORS)), draw.one_of(["top", "second"]), draw.length(0.010, 0.035)
    least, most = (factor * bore.quantity for factor in FACTORS[duty][ring])
    values = {"gap_min": least, "gap_max": most, "to_file": to_file(least, measured)}
    return Case(f"{line} {duty} measured={measured} ring={ring}", values)


def file(draw: Draw) -> Case:
    """To file = least gap - measured, ring by ring; a rail's least gap does not follow the bore (common practice)."""
    bore, count = draw.length(2.6, 5.6), draw.whole(1, 8)
    duty = draw.one_of(list(FACTORS))
    line, values = f"ring file {bore} {duty}", dict[str, Expected]()
    for ring in ("top", "second"):
        measured, least = draw.lengths(count, 0.010, 0.030), FACTORS[duty][ring][0]
        if draw.chance(0.3):
            least = draw.real(0.0035, 0.0045, 5)
            line += f" factor={least}" if ring == "top" else f" second-factor={least}"
        line += f" {ring}={listed(measured)}"
        for place, found in enumerate(measured, 1):
            values[f"to_file_{ring}_{place}"] = to_file(least * bore.quantity, found)
    if draw.chance():
        rails = draw.lengths(2 * count, 0.010, 0.050)
        line += f" rail={listed(rails)}"
        for at, found in enumerate(rails):
            side = "lower" if at % 2 else "upper"
            values[f"to_file_rail_{at // 2 + 1}_{side}"] = to_file(RAIL, found)
    return Case(line, values)


def heat(draw: Draw) -> Case:
    """Closing = pi D (a_ring dT_ring - a_bore dT_bore): linear expansion round a circle."""
    bore, found, margin = draw.length(2.6, 5.6), draw.length(0.010, 0.030), draw.length(0.001, 0.005)
    ring_temp, bore_temp, bench = draw.temperature(150, 300), draw.temperature(80, 140), draw.temperature(10, 30)
    ring = draw.one_of(["cast-iron", "ductile-iron", "steel"])
    block = draw.one_of(["cast-iron", "ductile-iron", "steel", "aluminium"])
    growth = EXPANSION[ring] * rise(ring_temp, bench) - EXPANSION[block] * rise(bore_temp, bench)
    closing = pi * bore.quantity * growth
    smallest = max(closing, 0 * closing) + margin.quantity
    values = {
        "smallest_cold_gap": smallest,
        "closing": closing,
        "per_bore": smallest / bore.quantity,
        "left_when_hot": found.quantity - closing,
    }
    line = f"ring heat {bore} {ring_temp} {bore_temp} gap={found} margin={margin} bench={bench}"
    return Case(f"{line} ring={ring} block={block}", values)


def oversize(draw: Draw) -> Case:
    """Gap here = gap at its nominal + pi (bore - nominal): the circumference of a circle."""
    bore, own = draw.length(2.6, 5.6), draw.length(0.012, 0.024)
    nominal = draw.near(bore, -0.030, 0.002)
    duty, ring = draw.one_of(list(FACTORS)), draw.one_of(["top", "second"])
    change = pi * (bore.quantity - nominal.quantity)
    here = own.quantity + change
    values: dict[str, Expected] = {"gap": here, "change": change}
    least = FACTORS[duty][ring][0] * bore.quantity
    if here < least:
        values["to_file"] = least - here
    return Case(f"ring oversize {bore} {nominal} {duty} gap={own} ring={ring}", values)


def side(draw: Draw) -> Case:
    """Groove - ring: least groove with widest ring, and the other way about."""
    width = draw.length(0.047, 0.19)
    rings = [width] + [draw.near(width, 0, 0.0004) for _ in range(draw.whole(0, 4))]
    grooves = [draw.near(width, 0.001, 0.005) for _ in range(draw.whole(1, 4))]
    values = {
        "smallest": min(g.quantity for g in grooves) - max(r.quantity for r in rings),
        "largest": max(g.quantity for g in grooves) - min(r.quantity for r in rings),
    }
    ring = draw.one_of(["top", "second", "rail"])
    return Case(f"ring side groove={listed(grooves)} width={listed(rings)} ring={ring}", values)


def back(draw: Draw) -> Case:
    """The room left in the groove when the ring lies on the bore and the piston stands in the middle."""
    bore = draw.length(2.6, 5.6)
    root, depth = draw.near(bore, -0.42, -0.36), draw.length(0.150, 0.175)
    ring_inside = bore.quantity - 2 * depth.quantity
    diametral = ring_inside - root.quantity
    return Case(f"ring back {bore} root={root} depth={depth}", {"per_side": diametral / 2, "on_diameter": diametral})


def taper(draw: Draw) -> Case:
    """A gap opens by pi times what the bore does."""
    bottom = draw.length(0.010, 0.030)
    top: Typed = draw.near(bottom, -0.004, 0.012)
    difference = top.quantity - bottom.quantity
    return Case(f"ring taper {top} {bottom}", {"taper": difference / pi, "difference": difference})


SUMS = {
    "ring gap": gap,
    "ring file": file,
    "ring heat": heat,
    "ring oversize": oversize,
    "ring side": side,
    "ring back": back,
    "ring taper": taper,
}
