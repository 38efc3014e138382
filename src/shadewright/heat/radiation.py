"""Heat that surfaces send each other without touching."""

from __future__ import annotations

import numpy as np

from shadewright.heat.air import KELVIN, Values

STEFAN_BOLTZMANN = 5.670374419e-8
"""[W/m² K⁴] (CODATA 2018, exact)."""

Numbers = Values | float


def radiation_film(emissivity: Numbers, warm_c: Numbers, cold_c: Numbers) -> Values:
    """Radiation as a film between a surface and what it sees [W/m² K]; times the difference it is exact."""
    warm, cold = np.asarray(warm_c) + KELVIN, np.asarray(cold_c) + KELVIN
    return np.asarray(emissivity * STEFAN_BOLTZMANN * (warm + cold) * (warm**2 + cold**2))


def enclosed_emissivity(inner: Numbers, inner_area: Numbers, outer: Numbers, outer_area: Numbers) -> Values:
    """Emissivity that a body inside a closed wall acts with, on its own area.

    Source: two grey surfaces of which one encloses the other (any textbook of heat transfer).
    """
    wall = np.asarray(inner_area) / np.asarray(outer_area) * (1 / np.asarray(outer) - 1)
    return np.asarray(1 / (1 / np.asarray(inner) + wall))


def view_of_sphere(radius: Numbers, distance: Numbers) -> Values:
    """Share of what a small surface that faces a sphere sees of it; ``distance`` from its centre, equal units."""
    return np.asarray(np.minimum(np.asarray(radius) / np.asarray(distance), 1.0) ** 2)


def conduction_film(thickness_m: Numbers, conductivity: Numbers) -> Values:
    """Conduction through a wall as a film [W/m² K]."""
    return np.asarray(np.asarray(conductivity) / np.asarray(thickness_m))
