"""Pistons: clearance at 20 degrees C, motion, room to the valves, deck, gudgeon pin."""

import numpy
from scipy.optimize import minimize_scalar

from case import Case, Expected, Near
from draw import Draw
from metals import EXPANSION, at, at_20, celsius
from quantities import REGISTRY, Typed, metres, quantity
from slidercrank import SliderCrank

PISTON_METALS = ["cast-piston", "hypereutectic", "4032", "2618"]


def clearance(draw: Draw) -> Case:
    """Bore - skirt, each brought to 20 degrees C (ISO 1)."""
    bore = draw.length(2.8, 5.2)
    skirt = draw.near(bore, -0.0070, -0.0010)
    block, piston = draw.one_of(["cast-iron", "aluminium"]), draw.one_of(PISTON_METALS)
    bore_temp, piston_temp = draw.temperature(5, 40), draw.temperature(5, 40)
    bore_20 = at_20(bore.quantity, EXPANSION[block], bore_temp)
    found = bore_20 - at_20(skirt.quantity, EXPANSION[piston], piston_temp)
    values = {"clearance": found, "as_measured": bore.quantity - skirt.quantity, "per_bore": found / bore_20}
    line = f"piston clearance {bore} {skirt} bore-temp={bore_temp} piston-temp={piston_temp}"
    return Case(f"{line} block={block} piston={piston}", values)


def crankwork(draw: Draw) -> tuple[str, SliderCrank]:
    """Stroke, rod and pin offset, as typed and as they turn."""
    stroke, offset = draw.length(2.6, 5.0, 3), draw.length(-0.08, 0.08, 3)
    rod = Typed(round(stroke.number * draw.real(1.45, 2.1, 3), 2), stroke.written)
    typed = f"stroke={stroke} rod={rod} offset={offset}"
    return typed, SliderCrank(metres(stroke.quantity), metres(rod.quantity), metres(offset.quantity))


def motion(draw: Draw) -> Case:
    """Numerical derivatives of the piston's height, by the definition of a slider-crank."""
    typed, crank = crankwork(draw)
    angle, rpm = draw.real(-180, 180, 1), draw.whole(600, 7000)
    turning = REGISTRY.Quantity(rpm, "revolution / minute").to("radian / second").magnitude
    metre, speed, pull = (REGISTRY.Quantity(1, unit) for unit in ("m", "m / s", "m / s ** 2"))
    drop = crank.drop(angle)
    values: dict[str, Expected] = {
        "drop": float(drop) * metre,
        "share_of_travel": float(drop / crank.travel),
        "travel": float(crank.travel) * metre,
        "mean_speed": float(crank.travel) * rpm / 30 * speed,
        "peak_speed_down": float(crank.speed(crank.fastest) * turning) * speed,
        "peak_speed_down_at": Near(quantity(float(crank.fastest), "deg"), "a flat top hides its place", 1e-7),
        "peak_acceleration": float(crank.hardest * turning**2) * pull,
        "speed": float(crank.speed(angle) * turning) * speed,
        "acceleration": float(crank.acceleration(angle) * turning**2) * pull,
    }
    return Case(f"piston motion {angle} {rpm}rpm {typed}", values)


def to_valve(draw: Draw) -> Case:
    return from_rows(draw) if draw.number % 4 < 2 else from_card(draw)


def from_rows(draw: Draw) -> Case:
    """Drop - lift; between the rows numpy's parabola through the smallest and its neighbours."""
    valve = draw.one_of(["intake", "exhaust"])
    count, at_least = draw.whole(3, 7), draw.real(0.05, 0.15, 4)
    angles = sorted(draw.random.sample(range(-30, 31), count))
    low = draw.one_of(angles)
    rows = []
    for angle in angles:
        lift = draw.length(0.08, 0.20)
        bend = draw.real(0.00004, 0.00012, 6) * (angle - low) ** 2
        rows.append((angle, draw.near(lift, at_least + bend, at_least + bend + 0.0003), lift))
    gaps = [metres(drop.quantity - lift.quantity) for _, drop, lift in rows]
    place = int(numpy.argmin(gaps))
    values: dict[str, Expected] = {"smallest": quantity(gaps[place], "m"), "at": quantity(angles[place], "deg")}
    if 0 < place < count - 1:
        around = slice(place - 1, place + 2)
        a, b, c = numpy.polyfit(angles[around], gaps[around], 2)
        # Said where it is more than half a tenth of a thou below the row.
        if a > 0 and gaps[place] - (c - b * b / (4 * a)) > metres(quantity(0.5, "tenths")):
            values["between"] = Near(quantity(c - b * b / (4 * a), "m"), "polyfit solves by least squares", floor=1e-11)
    typed = " ".join(f"{angle}:{drop}:{lift}" for angle, drop, lift in rows)
    return Case(f"piston to-valve {valve} {typed}", values)


def from_card(draw: Draw) -> Case:
    """Drop at the top + piston's drop x cos(tilt) - lift; a parabola to the checking lift, then a line to the seat."""
    typed, crank = crankwork(draw)
    valve = draw.one_of(["intake", "exhaust"])
    lift, checked, drop = draw.length(0.38, 0.56), draw.length(0.06, 0.08), draw.length(0.20, 0.32)
    duration, tilt, centreline = draw.whole(205, 245), draw.whole(0, 30), draw.whole(102, 116)
    seat = duration + draw.whole(45, 70)
    centre = centreline if valve == "intake" else -centreline
    full, card = metres(lift.quantity), metres(checked.quantity)
    lowest, cosine = metres(drop.quantity), float(numpy.cos(numpy.radians(tilt)))

    def gap(degrees: float) -> float:
        away = abs(degrees - centre)
        if away <= duration / 2:
            held = full - (full - card) * (away / (duration / 2)) ** 2
        else:
            held = float(numpy.interp(away, [duration / 2, seat / 2], [card, 0.0]))
        return lowest + float(crank.drop(degrees)) * cosine - held

    # Where the lobe's pieces meet the gap may have several dips: the best of a search in each piece.
    ends = sorted({-90.0, 90.0, *(e for half in (duration, seat) for e in (centre - half / 2, centre + half / 2))})
    ends = [end for end in ends if -90 <= end <= 90]
    cuts = [numpy.linspace(low, high, 4) for low, high in zip(ends, ends[1:])]
    spans = [(a, b) for cut in cuts for a, b in zip(cut, cut[1:])]
    found = min(
        (minimize_scalar(gap, bounds=s, method="bounded", options={"xatol": 1e-7}) for s in spans), key=lambda f: f.fun
    )
    values = {
        "smallest": Near(quantity(found.fun, "m"), "both sides search for the smallest", floor=1e-10),
        "at": Near(quantity(found.x, "deg"), "a flat bottom hides its place", floor=2e-6),
    }
    line = f"piston to-valve {valve} lift={lift} duration={duration} checked={checked} seat={seat}"
    return Case(f"{line} centreline={centreline} drop={drop} tilt={tilt} {typed}", values)


def deck(draw: Draw) -> Case:
    """A corner is the mean of both sides of the pin axis; or block height less all that stands in it (definitions)."""
    wanted = draw.length(0.0, 0.004)
    if draw.number % 4 < 2:
        dial = draw.lengths(2 * draw.whole(1, 4), 0.004, 0.030)
        unit = dial[0].written
        corners = numpy.array([d.number for d in dial]).reshape(-1, 2).mean(axis=1)
        line = "piston deck " + " ".join(map(str, dial))
    else:
        unit = "mm" if draw.metric else "in"
        stroke, rod, height = draw.lengths(1, 3, 4)[0], draw.lengths(1, 5.5, 6.5)[0], draw.lengths(1, 1.2, 1.8)[0]
        stack = Typed(round(stroke.number / 2 + rod.number + height.number, 4), unit)
        blocks = [draw.near(stack, 0.004, 0.030) for _ in range(draw.whole(1, 4))]
        corners = numpy.array([b.number for b in blocks]) - numpy.dot(
            [0.5, 1, 1], [stroke.number, rod.number, height.number]
        )
        line = "piston deck " + " ".join(f"block={b}" for b in blocks) + f" stroke={stroke} rod={rod} height={height}"
    low, high, mean = (quantity(float(of(corners)), unit) for of in (numpy.min, numpy.max, numpy.mean))
    values: dict[str, Expected] = {"smallest": low, "largest": high, "mean": mean}
    values |= {"level_cut": low - wanted.quantity, "most_cut": high - wanted.quantity}
    return Case(f"{line} wanted={wanted}", values)


def pin(draw: Draw) -> Case:
    """Hole - pin, each at its own temperature; size for size where the hole has grown to the pin (linear expansion)."""
    hole = draw.length(0.75, 1.5)
    size, into = draw.near(hole, -0.0012, 0.0008), draw.one_of(["piston", "rod-press"])
    metal = draw.one_of(PISTON_METALS)
    expansion = EXPANSION[metal] if into == "piston" else EXPANSION["alloy-steel"]
    hot, pin_hot = draw.temperature(80, 250), draw.temperature(15, 80)
    steel = EXPANSION[PIN_METAL]
    cold_fit = hole.quantity - size.quantity
    warm_pin = at(size.quantity, steel, pin_hot)
    hot_fit = at(hole.quantity, expansion, hot) - warm_pin
    values: dict[str, Expected] = {"fit_at_20": cold_fit, "fit_hot": hot_fit}
    if cold_fit < 0 * cold_fit or hot_fit < 0 * hot_fit:
        grows = ((warm_pin - hole.quantity) / (hole.quantity * expansion)).to("delta_degC").magnitude
        values["size_for_size_at"] = celsius(20 + grows)
    return Case(f"piston pin {hole} {size} into={into} metal={metal} hot={hot} pin-hot={pin_hot}", values)


# Case-hardened alloy steel.
PIN_METAL = "alloy-steel"

SUMS = {
    "piston clearance": clearance,
    "piston motion": motion,
    "piston to-valve": to_valve,
    "piston deck": deck,
    "piston pin": pin,
}
