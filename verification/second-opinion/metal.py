"""Von Mises metal with combined hardening, integrated by backward Euler, many points at once.

The scheme is the textbook one that hoopset uses too in plane strain (one scalar equation in the
plastic increment), coded anew by people who knew hoopset's; plane stress goes another way. Tensors are arrays of shape (4, points),
components (xx, yy, zz, xy); strains carry the engineering shear. Stresses in MPa.

    yield stress   sigma_0 + slope * p + sum Q (1 - exp(-b p)), any number of terms
    backstress     d(alpha) = (2/3) C d(eps_p) - gamma alpha dp, any number of terms

Armstrong and Frederick (1966, from memory); linear kinematic hardening is gamma = 0.
"""

from dataclasses import dataclass, field

import numpy as np

ROOT = np.sqrt(1.5)
UNIT = np.array([1.0, 1.0, 1.0, 0.0])
# Deviatoric projector that takes an engineering shear to a tensor one.
DEVIATOR = np.diag([1.0, 1.0, 1.0, 0.5]) - np.outer(UNIT, UNIT) / 3


@dataclass
class Metal:
    young: float
    poisson: float
    yield_stress: float
    slope: float
    terms: list  # pairs (C, gamma)
    voce: list = field(default_factory=list)  # pairs (Q, b)

    def __post_init__(self):
        self.shear = self.young / (2 * (1 + self.poisson))
        self.bulk = self.young / (3 * (1 - 2 * self.poisson))
        self.elastic = self.bulk * np.outer(UNIT, UNIT) + 2 * self.shear * DEVIATOR

    def hardened(self, p):
        return self.yield_stress + self.slope * p + sum(Q * -np.expm1(-b * p) for Q, b in self.voce)

    def hardening(self, p):
        return self.slope + sum(Q * b * np.exp(-b * p) for Q, b in self.voce)


class History:
    """What the points remember: plastic strain, p, one backstress a term."""

    def __init__(self, points, terms):
        self.flow = np.zeros((4, points))
        self.p = np.zeros(points)
        self.back = np.zeros((terms, 4, points))

    def part(self, which):
        part = History.__new__(History)
        part.flow, part.p, part.back = self.flow[:, which], self.p[which], self.back[:, :, which]
        return part

    def put(self, which, part):
        self.flow[:, which], self.p[which], self.back[:, :, which] = part.flow, part.p, part.back

    def copy(self):
        twin = self.part(slice(None))
        twin.flow, twin.p, twin.back = self.flow.copy(), self.p.copy(), self.back.copy()
        return twin


def dot(a, b):
    """Double contraction of tensors kept as (xx, yy, zz, xy)."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2] + 2 * a[3] * b[3]


def deviator(strain):
    mean = (strain[0] + strain[1] + strain[2]) / 3
    return np.stack([strain[0] - mean, strain[1] - mean, strain[2] - mean, 0.5 * strain[3]])


def trial(metal, strain, old):
    elastic = strain - old.flow
    s = 2 * metal.shear * deviator(elastic)
    pressure = metal.bulk * (elastic[0] + elastic[1] + elastic[2])
    return s, pressure


def beyond_yield(metal, s, old):
    xi = s - old.back.sum(axis=0)
    return ROOT * np.sqrt(dot(xi, xi)) - metal.hardened(old.p)


def plastic_step(metal, s, old):
    """Solves the yield condition for dp at points that all yield.

    With xi parallel to eta(dp) = s - sum alpha/(1 + gamma dp), what remains is
    sqrt(3/2)|eta| - 3 G dp - sum C dp/(1 + gamma dp) = the yield stress at p + dp.
    """
    G = metal.shear
    dp = np.zeros(s.shape[1])
    for _ in range(60):
        eta, turn = s.copy(), np.zeros_like(s)
        rest, h = metal.hardened(old.p + dp) + 3 * G * dp, metal.hardening(old.p + dp) + 3 * G
        for (C, gamma), alpha in zip(metal.terms, old.back):
            fade = 1 + gamma * dp
            eta -= alpha / fade
            turn += alpha * (gamma / fade**2)
            rest += C * dp / fade
            h += C / fade**2
        size = np.sqrt(dot(eta, eta))
        n = eta / size
        h -= ROOT * dot(n, turn)
        excess = ROOT * size - rest
        if np.max(np.abs(excess), initial=0.0) < 1e-10 * metal.yield_stress:
            return dp, n, size, turn, h
        dp = np.maximum(dp + excess / h, 0.0)
    raise ArithmeticError("yield condition not met")


def slope_along(metal, dp, n, size, turn, h):
    """d(stress)/d(strain) of the step, shape (4, 4, points): exact, not quite symmetric."""
    G = metal.shear
    g = ROOT * 2 * G * n / h
    spin = (turn - dot(n, turn) * n) / size
    away = (2 * G / size) * (DEVIATOR[:, :, None] - n[:, None] * n[None])
    d_flow = n[:, None] * g[None] + dp * (away + spin[:, None] * g[None])
    return metal.elastic[:, :, None] - 2 * G * ROOT * d_flow


def stress_and_history(metal, s, pressure, old, dp, n):
    flow = ROOT * dp * n
    new = History.__new__(History)
    new.flow = old.flow + flow * np.array([1, 1, 1, 2.0])[:, None]
    new.p = old.p + dp
    new.back = old.back.copy()
    for k, (C, gamma) in enumerate(metal.terms):
        new.back[k] = (old.back[k] + 2 / 3 * C * flow) / (1 + gamma * dp)
    stress = s - 2 * metal.shear * flow
    stress[:3] += pressure
    return stress, new


def plane_strain(metal, strain, old):
    """Stress, tangent (3, 3, points) and new history for in-plane strains (xx, yy, xy)."""
    full = np.stack([strain[0], strain[1], np.zeros_like(strain[0]), strain[2]])
    s, pressure = trial(metal, full, old)
    stress = s.copy()
    stress[:3] += pressure
    tangent = np.broadcast_to(metal.elastic[:, :, None], (4, 4, strain.shape[1])).copy()
    new = old.copy()
    which = np.flatnonzero(beyond_yield(metal, s, old) > 0)
    if which.size:
        part = old.part(which)
        step = plastic_step(metal, s[:, which], part)
        stress[:, which], grown = stress_and_history(
            metal, s[:, which], pressure[which], part, step[0], step[1])
        new.put(which, grown)
        tangent[:, :, which] = slope_along(metal, *step)
    plane = np.ix_([0, 1, 3], [0, 1, 3])
    return stress, tangent[plane], new


def plane_stress(metal, strain, old):
    """The same with sigma_zz = 0, found by Newton's method on the thickness strain."""
    ratio = metal.poisson / (1 - metal.poisson)
    full = np.stack([strain[0], strain[1], np.zeros_like(strain[0]), strain[2]])
    elastic = full - old.flow
    full[2] = old.flow[2] - ratio * (elastic[0] + elastic[1])
    s, pressure = trial(metal, full, old)
    stress = s.copy()
    stress[:3] += pressure
    tangent = np.broadcast_to(metal.elastic[:, :, None], (4, 4, strain.shape[1])).copy()
    new = old.copy()
    which = np.flatnonzero(beyond_yield(metal, s, old) > 0)
    if which.size:
        part, full = old.part(which), full[:, which]
        for _ in range(60):
            s, pressure = trial(metal, full, part)
            # On the way a point may fall back inside; its answer is then the elastic one.
            inside = beyond_yield(metal, s, part) <= 0
            dp, n, size, turn, h = plastic_step_or_none(metal, s, part, inside)
            found, grown = stress_and_history(metal, s, pressure, part, dp, n)
            stiff = slope_along(metal, dp, n, size, turn, h)
            stiff[:, :, inside] = metal.elastic[:, :, None]
            if np.max(np.abs(found[2])) < 1e-9 * metal.yield_stress:
                break
            full[2] -= found[2] / stiff[2, 2]
        else:
            raise ArithmeticError("thickness strain not found")
        stress[:, which], tangent[:, :, which] = found, stiff
        new.put(which, grown)
    # Condense sigma_zz = 0 out of the tangent.
    keep = [0, 1, 3]
    column = tangent[keep, 2]
    row = tangent[2, keep]
    condensed = tangent[np.ix_(keep, keep)] - column[:, None] * row[None] / tangent[2, 2]
    return stress, condensed, new


def plastic_step_or_none(metal, s, old, inside):
    """As `plastic_step`, with no plastic strain at the points `inside` the yield surface."""
    count = s.shape[1]
    if not inside.any():
        return plastic_step(metal, s, old)
    dp, n, size = np.zeros(count), np.zeros_like(s), np.ones(count)
    turn, h = np.zeros_like(s), np.ones(count)
    out = np.flatnonzero(~inside)
    dp[out], n[:, out], size[out], turn[:, out], h[out] = plastic_step(
        metal, s[:, out], old.part(out))
    return dp, n, size, turn, h


RESPONSES = {"plane strain": plane_strain, "plane stress": plane_stress}
