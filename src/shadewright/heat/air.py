"""Properties of dry air at sea level, as natural convection asks for them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Values = npt.NDArray[np.float64]
"""One number for every case that is solved at once: (n,), or (); the unit stands in the name."""

KELVIN = 273.15
"""0 °C on the absolute scale [K]."""
PRESSURE_PA = 101_325.0
GAS_CONSTANT = 287.05
"""Of dry air [J/kg K]."""
CP = 1006.0
"""Specific heat of air at constant pressure [J/kg K]; within 0.3 % from 0 to 100 °C."""
GRAVITY_M_S2 = 9.80665


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Air:
    """Air at one temperature.

    Attributes:
        conductivity: [W/m K].
        density: [kg/m³].
        viscosity: Kinematic [m²/s].
        diffusivity: Of heat [m²/s].
        expansion: Of an ideal gas [1/K].
    """

    conductivity: Values
    density: Values
    viscosity: Values
    diffusivity: Values
    expansion: Values

    @property
    def prandtl(self) -> Values:
        """Viscosity over diffusivity [-]."""
        return np.asarray(self.viscosity / self.diffusivity)


def air_at(temp_c: Values | float) -> Air:
    """Properties of air at ``temp_c`` [°C].

    Source: U.S. Standard Atmosphere 1976, its formulas for viscosity (Sutherland) and conductivity; ideal gas.
    """
    kelvin = np.asarray(temp_c, dtype=np.float64) + KELVIN
    dynamic = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    conductivity = 2.64638e-3 * kelvin**1.5 / (kelvin + 245.4 * 10 ** (-12 / kelvin))
    density = PRESSURE_PA / (GAS_CONSTANT * kelvin)
    return Air(
        conductivity=conductivity,
        density=density,
        viscosity=dynamic / density,
        diffusivity=conductivity / (density * CP),
        expansion=1 / kelvin,
    )


def rayleigh(air: Air, rise_k: Values | float, length_m: Values | float) -> Values:
    """Rayleigh number of a surface that is ``rise_k`` warmer or colder than the air, over ``length_m`` [-]."""
    size = np.asarray(length_m, dtype=np.float64) ** 3
    return np.asarray(GRAVITY_M_S2 * air.expansion * np.abs(rise_k) * size / (air.viscosity * air.diffusivity))
