"""Planck's law, apart from the package's own series and tables."""

import numpy as np

# Exact by definition, SI brochure 9th ed. (2019), section 2.2.
PLANCK_J_S, LIGHT_M_S, BOLTZMANN_J_K = 6.62607015e-34, 299792458.0, 1.380649e-23
SECOND_RADIATION_UM_K = 1e6 * PLANCK_J_S * LIGHT_M_S / BOLTZMANN_J_K


def planck_radiance(wavelength_um, temperature_degc):
    """Spectral radiance of a black body [W/(m²·sr·µm)]."""
    metres, kelvin = np.asarray(wavelength_um, float) * 1e-6, np.asarray(temperature_degc, float) + 273.15
    exponent = PLANCK_J_S * LIGHT_M_S / (BOLTZMANN_J_K * metres * kelvin)
    return 2e-6 * PLANCK_J_S * LIGHT_M_S**2 / metres**5 / np.expm1(exponent)
