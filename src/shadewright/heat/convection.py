"""Nusselt numbers of still air at warm surfaces, and of still air between two of them.

Every function takes the Rayleigh number (built with the length it names) and the Prandtl number, as numbers or arrays
of one shape, and gives the Nusselt number over that same length. Sources are named with each.
"""

from __future__ import annotations

import numpy as np

from shadewright.heat.air import Air, Values, rayleigh

Numbers = Values | float


def _power(value: Numbers, exponent: float) -> Values:
    return np.asarray(value, dtype=np.float64) ** exponent


def vertical_plate(ra: Numbers, pr: Numbers) -> Values:
    """Upright plate or wall, over its height; any Rayleigh number.

    Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323.
    """
    damping = (1 + _power(0.492 / np.asarray(pr), 9 / 16)) ** (8 / 27)
    return np.asarray((0.825 + 0.387 * _power(ra, 1 / 6) / damping) ** 2)


def vertical_plate_laminar(ra: Numbers, pr: Numbers) -> Values:
    """Upright plate over its height, closer below a Rayleigh number of 1e9.

    Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1323.
    """
    damping = (1 + _power(0.492 / np.asarray(pr), 9 / 16)) ** (4 / 9)
    return np.asarray(0.68 + 0.670 * _power(ra, 1 / 4) / damping)


def vertical_cylinder(ra: Numbers, pr: Numbers, slenderness: Numbers) -> Values:
    """Upright cylinder over its height; ``slenderness`` is its height over its diameter.

    Source: Popiel, Heat Transfer Engineering 29 (2008) 521, on the plate of Churchill and Chu.
    """
    b = 0.0571322 + 0.20305 * _power(pr, -0.43)
    c = 0.9165 - 0.0043 * _power(pr, 0.5) + 0.01333 * np.log(pr) + 0.0004809 / np.asarray(pr)
    grashof = np.maximum(np.asarray(ra) / np.asarray(pr), 1.0)
    bent = (32**0.5 * grashof**-0.25 * np.asarray(slenderness)) ** c
    return np.asarray(vertical_plate(ra, pr) * (1 + b * bent))


def plate_facing_up(ra: Numbers) -> Values:
    """Level plate that is warm on top (or cold below), over its area divided by its rim.

    Source: McAdams, Heat Transmission, 3rd ed. (1954); 1e4 to 1e11.
    """
    return np.where(np.asarray(ra) <= 1e7, 0.54 * _power(ra, 1 / 4), 0.15 * _power(ra, 1 / 3))


def plate_facing_down(ra: Numbers) -> Values:
    """Level plate that is warm below (or cold on top), over its area divided by its rim.

    Source: McAdams, Heat Transmission, 3rd ed. (1954); 1e5 to 1e10.
    """
    return np.asarray(0.27 * _power(ra, 1 / 4))


def horizontal_cylinder(ra: Numbers, pr: Numbers) -> Values:
    """Lying cylinder over its diameter; Rayleigh numbers up to 1e12.

    Source: Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049.
    """
    damping = (1 + _power(0.559 / np.asarray(pr), 9 / 16)) ** (8 / 27)
    return np.asarray((0.60 + 0.387 * _power(ra, 1 / 6) / damping) ** 2)


def sphere(ra: Numbers, pr: Numbers) -> Values:
    """Sphere over its diameter.

    Source: Churchill, Heat Exchanger Design Handbook 2.5.7 (1983), with its term for large Rayleigh numbers.
    """
    ra, damping = np.asarray(ra), 1 + _power(0.469 / np.asarray(pr), 9 / 16)
    far = (1 + 7.44e-8 * ra / damping ** (16 / 9)) ** (1 / 12)
    return np.asarray(2 + 0.589 * _power(ra, 1 / 4) / damping ** (4 / 9) * far)


def upright_gap(ra: Numbers, pr: Numbers, slenderness: Numbers) -> Values:
    """Air between two upright walls, over the gap; ``slenderness`` is their height over the gap; never below 1.

    Source: Jakob's form with the constants of Catton (1978) for tall gaps, as in VDI Heat Atlas and Thess.
    """
    ra = np.asarray(ra, dtype=np.float64)
    tall = 0.42 * _power(pr, 0.012) * _power(ra, 1 / 4) * _power(slenderness, -1 / 4)
    return np.maximum(np.where(ra < 1e7, tall, 0.049 * _power(ra, 0.33)), 1.0)


def level_gap(ra: Numbers, pr: Numbers) -> Values:
    """Air over a warm level floor below a colder ceiling, over the gap: 1 until the air begins to turn over.

    Source: Hollands, Raithby and Konicek, Int. J. Heat Mass Transfer 18 (1975) 879.
    """
    pr = np.asarray(pr, dtype=np.float64)
    ra = np.maximum(np.asarray(ra, dtype=np.float64), 1.0)
    k1 = 1.44 / (1 + 0.018 / pr + 0.00136 / pr**2)
    ratio = _power(ra, 1 / 3) / (75 * np.exp(1.5 * pr**-0.5))
    onset = np.maximum(1 - 1708 / ra, 0.0) * (k1 + 2 * ratio ** (1 - np.log(ratio)))
    return np.asarray(1 + onset + np.maximum(_power(ra / 5803, 1 / 3) - 1, 0.0))


def sphere_in_sphere(air: Air, rise_k: Numbers, inner_m: Numbers, outer_m: Numbers) -> Values:
    """Effective conductivity of air between concentric spheres of those diameters [W/m K]; never below still air's.

    Source: Raithby and Hollands, Advances in Heat Transfer 11 (1975) 265.
    """
    inner, outer = np.asarray(inner_m, dtype=np.float64), np.asarray(outer_m, dtype=np.float64)
    gap = (outer - inner) / 2
    shape = gap / ((inner * outer) ** 4 * (inner**-1.4 + outer**-1.4) ** 5)
    pr = air.prandtl
    factor = 0.74 * _power(pr / (0.861 + pr), 1 / 4) * _power(shape * rayleigh(air, rise_k, gap), 1 / 4)
    return np.asarray(air.conductivity * np.maximum(factor, 1.0))
