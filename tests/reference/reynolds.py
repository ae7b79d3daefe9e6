"""Reynolds' equation of a full plain bearing under a steady load, by finite differences.

With h = c (1 + e cos t) and P the pressure over 6 mu w (r/c)^2, and half the length being 1:
d/dt(h^3 dP/dt) + (d/l)^2 d/dz(h^3 dP/dz) = dh/dt. The film ruptures where P would fall below nothing (Swift and
Stieber): P >= 0 and what is left of the equation >= 0, one of them nought everywhere, found by the set of nodes under
pressure. Load w = |integral of P|, and the Sommerfeld number of Raimondi and Boyd is 1 / (6 pi w).
"""

import numpy
import scipy.sparse as sparse
from scipy.optimize import brentq
from scipy.sparse.linalg import spsolve

AROUND, ALONG = 144, 10


def _equation(eccentricity: float, slenderness: float) -> tuple[sparse.csr_matrix, numpy.ndarray, numpy.ndarray]:
    """Matrix, right side and angles of the nodes; the mid-plane is one of symmetry, the far edge is open."""
    step, deep = 2 * numpy.pi / AROUND, 1 / ALONG
    angles = step * numpy.arange(AROUND)
    film = 1 + eccentricity * numpy.cos(angles)
    ahead = (1 + eccentricity * numpy.cos(angles + step / 2)) ** 3 / step**2
    behind = numpy.roll(ahead, 1)
    turn = sparse.diags([ahead + behind, -ahead[:-1], -ahead[:-1]], [0, 1, -1]).tolil()
    turn[0, -1] = turn[-1, 0] = -ahead[-1]
    # Middles of ALONG strips: no flow over the mid-plane, no pressure half a strip past the last.
    across = sparse.diags([2.0, -1.0, -1.0], [0, 1, -1], shape=(ALONG, ALONG)).tolil()
    across[0, 0], across[-1, -1] = 1.0, 3.0
    cross = sparse.diags(film**3 / (slenderness * deep) ** 2)
    matrix = sparse.kron(turn, sparse.eye(ALONG)) + sparse.kron(cross, across)
    slope = (numpy.cos(angles + step / 2) - numpy.cos(angles - step / 2)) * eccentricity / step
    return matrix.tocsr(), -numpy.repeat(slope, ALONG), angles


def sommerfeld(eccentricity: float, slenderness: float) -> float:
    """S at an eccentricity ratio and a length over diameter."""
    matrix, right, angles = _equation(eccentricity, slenderness)
    under = right > 0
    for _ in range(60):
        pressure = numpy.zeros(len(right))
        pressure[under] = spsolve(matrix[under][:, under], right[under])
        left = matrix @ pressure - right
        now = numpy.where(under, pressure > 0, left < -1e-12)
        if (now == under).all():
            break
        under = now
    else:
        raise RuntimeError("the edge of the film was not found")
    lines = pressure.reshape(AROUND, ALONG).mean(axis=1)
    load = numpy.hypot(lines @ numpy.cos(angles), lines @ numpy.sin(angles)) * 2 * numpy.pi / AROUND
    return float(1 / (6 * numpy.pi * load))


def eccentricity(wanted: float, slenderness: float) -> float:
    """The eccentricity ratio at a Sommerfeld number."""

    def off(ratio: float) -> float:
        return float(numpy.log(sommerfeld(ratio, slenderness) / wanted))

    return float(brentq(off, 0.05, 0.97, xtol=1e-5))
