"""The pressures whose stress intensities make the table: piecewise quadratics in x/c and z/a.

A stress field is replaced by its values at the 13 x 7 places `X` by `Z` (x first), each with a shape function that is
one there and zero at the other places; elements are short at the bore, where residual stress is steep, and at the face.
"""

import numpy as np

X_ELEMENTS = np.array([0.0, 0.03, 0.08, 0.18, 0.4, 0.7, 1.0])
Z_ELEMENTS = np.array([0.0, 0.2, 0.5, 1.0])


def places(elements):
    """Element ends and middles."""
    out = np.empty(2 * len(elements) - 1)
    out[::2] = elements
    out[1::2] = 0.5 * (elements[1:] + elements[:-1])
    return out


X, Z = places(X_ELEMENTS), places(Z_ELEMENTS)


def one_way(elements, at):
    """Values (n_places, p) of the shape functions along one direction."""
    at = np.clip(at, elements[0], elements[-1])
    index = np.clip(np.searchsorted(elements, at, side="right") - 1, 0, len(elements) - 2)
    s = (at - elements[index]) / (elements[index + 1] - elements[index])
    out = np.zeros((2 * len(elements) - 1, len(at)))
    column = np.arange(len(at))
    out[2 * index, column] = (1 - s) * (1 - 2 * s)
    out[2 * index + 1, column] = 4 * s * (1 - s)
    out[2 * index + 2, column] = s * (2 * s - 1)
    return out


def values(x, z):
    """All shape functions (91, p) at places x/c and z/a."""
    fx, fz = one_way(X_ELEMENTS, x), one_way(Z_ELEMENTS, z)
    return (fx[:, None, :] * fz[None, :, :]).reshape(-1, len(x))
