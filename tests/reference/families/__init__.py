"""Every sum that is recomputed: its name on the line, and the function that draws a case of it."""

from families import bearing, bore, crank, piston, ring

FAMILIES = (ring, bore, piston, bearing, crank)
SUMS = {name: sum_of for family in FAMILIES for name, sum_of in family.SUMS.items()}
