"""Every sum that is recomputed: its name on the line, and the function that draws a case of it."""

from families import bearing, bolt, bore, cam, convert, crank, cylinder, fit, measure, pair, piston, ring, valve

FAMILIES = (ring, bore, piston, bearing, crank, cylinder, cam, valve, bolt, fit, measure, pair, convert)
SUMS = {name: sum_of for family in FAMILIES for name, sum_of in family.SUMS.items()}
