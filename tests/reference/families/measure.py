"""Readings themselves: mean and uncertainty, size at 20 degrees C, gauge study, proof of limits, tolerance stack."""

from itertools import product
from math import sqrt

import numpy
import pandas
from scipy import stats
from statsmodels.formula.api import ols
from statsmodels.stats.anova import anova_lm
from uncertainties import ufloat

from case import Case, Expected, Near
from draw import Draw
from metals import EXPANSION, at_20
from quantities import Typed, listed, plain, quantity


def mean(draw: Draw) -> Case:
    """Carried by the uncertainties package; freedom by Welch and Satterthwaite, k by Student's t (JCGM 100)."""
    size = draw.length(1.5, 4.5)
    readings = [size] + [draw.near(size, 0.0001, 0.0008) for _ in range(draw.whole(1, 9))]
    unit, count = size.written, len(readings)
    dial = numpy.array([r.number for r in readings])
    deviation = float(dial.std(ddof=1))
    unsure = sum(ufloat(value, deviation) for value in dial) / count
    repeat, line = unsure.std_dev, "measure mean " + " ".join(map(str, readings))
    # Of k = 2, from a certificate.
    if draw.chance():
        instrument = draw.near(Typed(0.0, unit), 0.00005, 0.0003, 5)
        line, unsure = f"{line} instrument={instrument}", unsure + ufloat(0, instrument.number / 2)
    # Anywhere inside one step with the same likelihood.
    if draw.chance():
        step = Typed(0.001 if draw.metric else 0.0001, unit)
        line, unsure = f"{line} resolution={step}", unsure + ufloat(0, stats.uniform(0, step.number).std())
    freedom = int(unsure.std_dev**4 / (repeat**4 / (count - 1)) + 1e-9)
    factor = float(stats.t.ppf(0.975, freedom))
    if draw.chance(0.25):
        factor, line = 2.0, f"{line} k=2"
    values: dict[str, Expected] = {
        "mean": quantity(float(unsure.nominal_value), unit),
        "deviation": quantity(deviation, unit),
        "standard_uncertainty": quantity(unsure.std_dev, unit),
        "expanded_uncertainty": quantity(factor * unsure.std_dev, unit),
        "coverage_factor": factor,
        "degrees_of_freedom": freedom,
    }
    return Case(line, values)


def at_reference(draw: Draw) -> Case:
    """d / (1 + a (T - 20)) (ISO 1), a good to a twentieth; the uncertainties package carries all three."""
    size, warm = draw.length(0.8, 4.6), draw.temperature(5, 40)
    known, within = draw.near(Typed(0.0, size.written), 0.00005, 0.0003, 5), draw.real(0.2, 3, 1)
    metals = [
        "cast-iron",
        "ductile-iron",
        "steel",
        "alloy-steel",
        "aluminium",
        "cast-piston",
        "hypereutectic",
        "4032",
        "2618",
        "bronze",
    ]
    metal = draw.one_of(metals)
    growth = float(EXPANSION[metal].to("1 / delta_degC").magnitude)
    celsius = float(warm.quantity.to("degC").magnitude)
    a, t = ufloat(growth, growth / 20), ufloat(celsius, within)
    carried = ufloat(size.number, known.number) / (1 + a * (t - 20))
    exact = at_20(size.quantity, EXPANSION[metal], warm)
    values: dict[str, Expected] = {
        "at_20": exact,
        "change": exact - size.quantity,
        "expanded_uncertainty": quantity(carried.std_dev, size.written),
    }
    return Case(f"measure at20 {size} {warm} {metal} uncertainty={known} within={within}", values)


# Published in manuals of the gauge study, 1 / d2*: by trials, by appraisers, by parts.
K1, K2 = {2: 0.8862, 3: 0.5908}, {2: 0.7071, 3: 0.5231}
K3 = dict(enumerate((0.7071, 0.5231, 0.4467, 0.4030, 0.3742, 0.3534, 0.3375, 0.3249, 0.3146), 2))
DIFFERENCES = "variances are differences of mean squares, of readings a thousandth apart"


def study(draw: Draw) -> Case:
    """statsmodels' two-way analysis of variance with random effects, and the average and range method in numpy."""
    people, parts, trials = draw.whole(2, 3), draw.whole(3, 10), draw.whole(2, 3)
    size = draw.lengths(1, 1.5, 4.5, 4)[0]
    unit, thou = size.written, 0.0254 if size.written == "mm" else 0.001
    bias = [draw.random.gauss(0, 0.15) for _ in range(people)]
    part = [draw.random.gauss(0, 1.0) for _ in range(parts)]
    both = {(i, j): draw.random.gauss(0, draw.one_of([0.0, 0.3])) for i in range(people) for j in range(parts)}
    rows = [
        (i, j, round((bias[i] + part[j] + both[i, j] + draw.random.gauss(0, 0.15)) * thou, 5))
        for i, _, j in product(range(people), range(trials), range(parts))
    ]
    lists = [[Typed(round(size.number + off, 5), unit) for i, _, off in rows if i == who] for who in range(people)]
    # The common size is taken off in decimals, so that nothing is lost.
    table = pandas.DataFrame([(i, j, off / thou) for i, j, off in rows], columns=["who", "part", "off"])
    anova = anova_lm(ols("off ~ C(who) * C(part)", table).fit(), typ=2)
    sums, freedom = anova["sum_sq"], anova["df"]
    square = sums / freedom
    cross, error = square["C(who):C(part)"], square["Residual"]
    if anova.loc["C(who):C(part)", "PR(>F)"] > 0.05:
        pooled = ["C(who):C(part)", "Residual"]
        cross = error = sums[pooled].sum() / freedom[pooled].sum()
    repeat, mixed = error, max(0, cross - error) / trials
    between = max(0, square["C(who)"] - cross) / (parts * trials)
    of_parts = max(0, square["C(part)"] - cross) / (people * trials)
    gauge, total = repeat + between + mixed, repeat + between + mixed + of_parts
    tolerance = draw.near(Typed(0.0, unit), 0.002, 0.008)

    def length(variance: float) -> Near:
        # A variance that is all but nothing is the root of a rounding error.
        return Near(quantity(sqrt(variance) * thou, unit), DIFFERENCES, 1e-8)

    cells = table.groupby(["who", "part"])["off"]
    spread = float((cells.max() - cells.min()).mean()) * K1[trials]
    apart = float(numpy.ptp(table.groupby("who")["off"].mean())) * K2[people]
    by_range = sqrt(spread**2 + max(0, apart**2 - spread**2 / (parts * trials)))
    part_range = float(numpy.ptp(table.groupby("part")["off"].mean())) * K3[parts]
    values: dict[str, Expected] = {
        "equipment_variation": length(repeat),
        "appraiser_variation": length(between),
        "interaction": length(mixed),
        "gauge": length(gauge),
        "part_variation": length(of_parts),
        "total_variation": length(total),
        "gauge_of_total": Near(sqrt(gauge / total), DIFFERENCES, 1e-8),
        "gauge_of_tolerance": Near(6 * sqrt(gauge) * thou / tolerance.number, DIFFERENCES, 1e-8),
        "categories": int(1.41 * sqrt(of_parts / gauge)),
        "gauge_average_range": Near(quantity(by_range * thou, unit), DIFFERENCES, 1e-8),
        "gauge_of_total_average_range": Near(by_range / sqrt(by_range**2 + part_range**2), DIFFERENCES, 1e-8),
    }
    typed = " ".join(f"tech-{who}={listed(read)}" for who, read in enumerate(lists, 1))
    return Case(f"measure study {typed} parts={parts} trials={trials} tolerance={tolerance}", values)


def judge(draw: Draw) -> Case:
    """Proven inside from min + U to max - U (ISO 14253-1, 2013); the 2017 edition's band is 1.65 u."""
    low = draw.length(1.5, 4.5)
    high, reading = draw.near(low, 0.0006, 0.0020), draw.near(low, -0.0006, 0.0024, 5)
    given = draw.near(Typed(0.0, low.written), 0.00005, 0.0003, 5)
    standard = draw.chance()
    guard = given.quantity * (2 if standard else 1)
    line = f"measure judge {reading} {'standard' if standard else 'uncertainty'}={given}"
    values: dict[str, Expected] = {"guard_band": guard, "guard_band_2017": 1.65 / 2 * guard}
    left = []
    ends = draw.one_of([("min", "max"), ("min",), ("max",)])
    if "min" in ends:
        line, values["proven_from"] = f"{line} min={low}", low.quantity + guard
        left.append(reading.quantity - low.quantity)
    if "max" in ends:
        line, values["proven_to"] = f"{line} max={high}", high.quantity - guard
        left.append(high.quantity - reading.quantity)
    values["to_limit"] = min(left)
    # Exactly on an edge is inside it: to a nanometre.
    edge = quantity(1e-6, "mm")
    verdict = "out" if min(left) < -edge else "marginal" if min(left) < guard - edge else "within"
    return Case(line, values, verdict)


def stack(draw: Draw) -> Case:
    """Worst case by every corner of the limits; root-sum-square by the uncertainties package."""
    unit = "mm" if draw.metric else "in"
    first = draw.lengths(1, 8, 10)[0]
    parts = [(1, first, *limits(draw, unit))]
    left = first.number
    for _ in range(draw.whole(1, 5)):
        size = Typed(round(left * draw.real(0.2, 0.5, 3), 4), unit)
        left -= size.number
        parts.append((-1, size, *limits(draw, unit)))
    corners = [
        sum(sign * (size.number + off) for (sign, size, *_), off in zip(parts, offs))
        for offs in product(*((plus, -minus) for _, _, plus, minus in parts))
    ]
    middles = [ufloat(size.number + (plus - minus) / 2, (plus + minus) / 2) for _, size, plus, minus in parts]
    carried = sum(sign * middle for (sign, *_), middle in zip(parts, middles))
    values = {
        "middle": quantity(carried.nominal_value, unit),
        "nominal": quantity(sum(sign * size.number for sign, size, *_ in parts), unit),
        "worst": quantity((max(corners) - min(corners)) / 2, unit),
        "root_sum_square": quantity(carried.std_dev, unit),
        "least": quantity(min(corners), unit),
        "most": quantity(max(corners), unit),
    }
    signs = {1: "", -1: "-"}
    typed = [
        f"{signs[sign]}{plain(size.number)}+"
        + (f"-{plain(plus)}" if plus == minus else f"{plain(plus)}-{plain(minus)}")
        for sign, size, plus, minus in parts
    ]
    return Case("measure stack " + " ".join(typed) + unit, values)


def limits(draw: Draw, unit: str) -> tuple[float, float]:
    """Above and below: alike, or the one-sided ones of a fit."""
    scale, places = (25.4, 3) if unit == "mm" else (1.0, 4)
    above, below = (round(draw.real(0.0005, 0.0030, 5) * scale, places) for _ in range(2))
    return draw.one_of([(above, above), (above, 0.0), (0.0, below), (above, below)])


SUMS = {
    "measure mean": mean,
    "measure at20": at_reference,
    "measure study": study,
    "measure judge": judge,
    "measure stack": stack,
}
