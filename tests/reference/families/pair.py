"""Pairing: the smallest worst error, then the smallest sum of squares, by scipy's assignment; six by all orders too."""

from itertools import permutations

import numpy
from scipy.optimize import linear_sum_assignment

from case import Case, Expected
from draw import Draw
from quantities import Typed, listed, quantity


def assigned(errors: numpy.ndarray) -> list[int]:
    """The column of each row. `errors` in whole steps, far below a gauge's, so that equal ones are equal.

    First the least error under which all can still be paired: bisection over the errors. Then the least sum of squares
    with the pairs above it forbidden. (Burkard, Dell'Amico and Martello, Assignment Problems: bottleneck, then linear.)
    """
    steps = numpy.unique(errors)
    low, high = 0, len(steps) - 1
    while low < high:
        middle = (low + high) // 2
        rows, columns = linear_sum_assignment(errors > steps[middle])
        if (errors[rows, columns] <= steps[middle]).all():
            high = middle
        else:
            low = middle + 1
    far = float(errors.max()) ** 2 * (len(errors) + 1)
    _, columns = linear_sum_assignment(numpy.where(errors > steps[low], far, errors.astype(float) ** 2))
    found = [int(column) for column in columns]
    if len(errors) <= 6:
        every = permutations(range(len(errors)))
        best = min(
            every,
            key=lambda order: (
                max(errors[i, j] for i, j in enumerate(order)),
                sum(int(errors[i, j]) ** 2 for i, j in enumerate(order)),
            ),
        )
        if list(best) != found:
            raise RuntimeError(f"brute force pairs {best}, the assignment {found}")
    return found


def case(line: str, table: numpy.ndarray, wanted: float, unit: str, step: float, names: tuple[str, str]) -> Case:
    """`table` of the value of each pair; names of place and value in the reply."""
    off = numpy.abs(table - wanted)
    order = assigned(numpy.rint(off / step).astype(int))
    place, value = names
    values: dict[str, Expected] = {
        "wanted": quantity(wanted, unit),
        "worst_before": quantity(float(numpy.diag(off).max()), unit),
        "worst_after": quantity(float(max(off[i, j] for i, j in enumerate(order))), unit),
    }
    for i, j in enumerate(order):
        values |= {f"{place}_{i + 1}": j + 1, f"{value}_{i + 1}": quantity(float(table[i, j]), unit)}
    return Case(line, values)


def numbers(values: list[Typed]) -> numpy.ndarray:
    return numpy.array([value.number for value in values])


# A nanometre and a microgram in the units that are typed.
STEP = {"mm": 1e-6, "in": 1e-6 / 25.4, "g": 1e-6, "oz": 1e-6 / 28.349523125}


def fine(draw: Draw, like: Typed, count: int, low: float, high: float) -> list[Typed]:
    """Sizes fine enough that no two pairings are equally good."""
    return [draw.near(like, low, high, 7) for _ in range(count)]


def pistons(draw: Draw) -> Case:
    """Value = bore - skirt."""
    count, bore = draw.whole(2, 12), draw.lengths(1, 2.8, 4.8)[0]
    bores, skirts = fine(draw, bore, count, 0, 0.001), fine(draw, bore, count, -0.005, -0.004)
    wanted = draw.near(Typed(0.0, bore.written), 0.0025, 0.0050, 5)
    table = numbers(bores)[:, None] - numbers(skirts)[None, :]
    line = f"pair pistons bore={listed(bores)} skirt={listed(skirts)} wanted={wanted}"
    return case(line, table, wanted.number, bore.written, STEP[bore.written], ("bore", "clearance"))


def shells(draw: Draw) -> Case:
    """Value = housing - journal - 2 x wall; a journal runs in its own housing."""
    count, journal, of = draw.whole(2, 9), draw.lengths(1, 1.8, 2.8)[0], draw.one_of(["main", "rod"])
    wall = draw.near(Typed(0.0, journal.written), 0.06, 0.09)
    journals = fine(draw, journal, count, -0.0004, 0)
    housing = Typed(round(journal.number + 2 * wall.number, 4), journal.written)
    housings, walls = fine(draw, housing, count, 0.0016, 0.0024), fine(draw, wall, count, -0.0003, 0.0003)
    wanted = draw.near(Typed(0.0, journal.written), 0.0015, 0.0025, 5)
    table = (numbers(housings) - numbers(journals))[:, None] - 2 * numbers(walls)[None, :]
    line = f"pair shells housing={listed(housings)} journal={listed(journals)} shell={listed(walls)}"
    line += f" wanted={wanted} of={of}"
    return case(line, table, wanted.number, journal.written, STEP[journal.written], (of, "clearance"))


def weights(draw: Draw) -> Case:
    """Value = assembly + rod; wanted is the mean."""
    count = draw.whole(2, 12)
    unit, assembly, rod = ("g", 700.0, 600.0) if draw.metric else ("oz", 25.0, 21.0)
    spread = 6 if draw.metric else 0.2
    assemblies = [Typed(draw.real(assembly, assembly + spread, 5), unit) for _ in range(count)]
    rods = [Typed(draw.real(rod, rod + spread, 5), unit) for _ in range(count)]
    table = numbers(assemblies)[None, :] + numbers(rods)[:, None]
    line = "pair weights " + " ".join([*(f"assembly={a}" for a in assemblies), *(f"rod={r}" for r in rods)])
    return case(line, table, float(table.mean()), unit, STEP[unit], ("rod", "sum"))


SUMS = {"pair pistons": pistons, "pair shells": shells, "pair weights": weights}
