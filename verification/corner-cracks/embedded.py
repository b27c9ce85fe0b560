"""Stress intensity of an embedded ellipse under uniform pressure, in closed form."""

import numpy as np
from scipy.special import ellipe


def uniform(a, c, angles):
    """K of unit pressure at parametric angles in degrees (0 at the tip of c).

    Source: Irwin, J. Appl. Mech. 29 (1962) 651; from memory, and the values of the check table agree.
    """
    phi = np.radians(angles)
    small, large = min(a, c), max(a, c)
    shape = np.hypot(a * np.cos(phi), c * np.sin(phi)) / large
    return np.sqrt(np.pi * small * shape) / ellipe(1.0 - (small / large) ** 2)
