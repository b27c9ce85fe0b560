"""Fits the simulation laws of the alloy library.

Needs numpy and scipy. Prints one block for each alloy; the numbers are copied into
src/engine/material/alloys.toml, and tests/alloys.rs checks them there without this script.

What is fitted, and why, is explained in README.md beside this file.
"""

import numpy as np
from scipy.optimize import brentq, linprog

MPA = 6.894757293168361  # MPa in a ksi

# name: (E in ksi, F0.2 in ksi, n of the curve or None, Ftu in ksi)
# n is given where a typical curve was read; else it is built from F0.2 and Ftu.
ALLOYS = {
    "2024-T351 plate": (10.7e3, 50.0, None, 66.0),
    "2024-T3 sheet": (10.5e3, 48.0, None, 65.0),
    "7075-T651 plate": (10.3e3, 78.2, 32.0, 79.0),
    "7050-T7451 plate": (10.3e3, 65.7, 19.0, 76.0),
    "7475-T7351 plate": (10.3e3, 59.8, 15.5, 72.0),
    "Ti-6Al-4V annealed sheet": (16.0e3, 131.0, None, 139.0),
    "4340 steel, 260 ksi": (29.0e3, 217.0, None, 260.0),
    "S13800 H1000 bar": (28.3e3, 200.0, None, 208.0),
}

RATES = np.array([10000.0, 1050.0, 100.0])  # of the saturating terms, the same for all
FORWARD = 0.04                             # forward plastic strain of the Bauschinger rule
DEPARTURE = 0.56                           # first reverse yield over forward flow stress
# Radius of the yield surface over the flow stress that gives the wanted departure:
# (R - X)/(R + X) = DEPARTURE.
DEPARTURE_SIZE = (1 + DEPARTURE) / 2
LEAST_LIMIT = 0.70                         # elastic limit over F0.2, at least


def exponent(offset, ultimate):
    """n so that the nominal stress of the curve peaks at Ftu (Considere, at p = 1/n)."""
    def miss(n):
        return offset * (1 / n / 0.002) ** (1 / n) * np.exp(-1 / n) - ultimate
    return brentq(miss, 2.0, 200.0)


def curve(p, offset, n):
    return offset * (p / 0.002) ** (1 / n)


def fit(offset, n):
    """Yield stress, saturations, slope with the least largest relative misfit, none negative.

    Beyond p = 0.04 twice the misfit is allowed. A linear programme: the unknowns are the yield
    stress, the three saturations, the slope and the misfit t.
    """
    p = np.geomspace(2e-4, 0.1, 300)
    target = curve(p, offset, n)
    basis = np.column_stack([np.ones_like(p)] + [1 - np.exp(-r * p) for r in RATES] + [p])
    basis = basis / target[:, None]
    slack = np.where(p <= FORWARD, 1.0, 2.0)[:, None]
    # The yield stress must leave room for the backstress: see README.md.
    most = min(0.95 * curve(2e-4, offset, n), 0.96 * DEPARTURE_SIZE * curve(FORWARD, offset, n))
    found = linprog(
        c=[0, 0, 0, 0, 0, 1],
        A_ub=np.vstack([np.hstack([basis, -slack]), np.hstack([-basis, -slack])]),
        b_ub=np.concatenate([np.ones_like(p), -np.ones_like(p)]),
        bounds=[(LEAST_LIMIT * offset, most)] + [(0, None)] * 5,
    ).x
    return found[0], found[1:4], found[4]


def reverse_at(offset_strain, start, iso, slope, kin):
    """Reverse stress over forward stress, `offset_strain` after the reversal at FORWARD."""
    p = FORWARD
    back = kin * (1 - np.exp(-RATES * p))
    forward = start + np.sum(iso * (1 - np.exp(-RATES * p))) + slope * p + back.sum()
    q = p + offset_strain
    radius = start + np.sum(iso * (1 - np.exp(-RATES * q))) + slope * q
    # After the reversal each term heads for minus its saturation.
    turned = -kin + (back + kin) * np.exp(-RATES * offset_strain)
    return (radius - turned.sum()) / forward


for name, (modulus, offset, n, ultimate) in ALLOYS.items():
    built = n is None
    if built:
        n = exponent(offset, ultimate)
    offset_mpa = round(offset * MPA, 1)
    n = round(n, 2)
    start, saturations, slope = fit(offset_mpa, n)
    size = DEPARTURE_SIZE * curve(FORWARD, offset_mpa, n)
    grown = saturations * (1 - np.exp(-RATES * FORWARD))
    share = (start + slope * FORWARD + grown.sum() - size) / grown.sum()
    assert 0 < share <= 1, (name, share)
    kin, iso = share * saturations, (1 - share) * saturations
    start, slope = round(start, 1), round(slope, 0)
    moduli = np.round(kin * RATES, 0)
    iso = np.round(iso, 1)
    kin = moduli / RATES

    def law(p):
        return (start + slope * p
                + sum((i + k) * (1 - np.exp(-r * p)) for i, k, r in zip(iso, kin, RATES)))

    near, far = np.geomspace(2e-4, 0.04, 500), np.geomspace(0.04, 0.1, 200)
    misfit = [np.max(np.abs(law(p) / curve(p, offset_mpa, n) - 1)) for p in (near, far)]
    at_peak = curve(1 / n, offset_mpa, n) * np.exp(-1 / n) / (ultimate * MPA)
    print(f"# {name}: n {'built' if built else 'read'}; misfit {misfit[0]:.2%} to p 0.04, "
          f"{misfit[1]:.2%} to 0.10; nominal peak over Ftu {at_peak:.3f} at p {1/n:.3f}; "
          f"share {share:.3f}; limit/F0.2 {start/offset_mpa:.3f}")
    print(f"#   reverse/forward at departure {reverse_at(0, start, iso, slope, kin):.3f}, "
          f"after 0.05 % {reverse_at(5e-4, start, iso, slope, kin):.3f}, "
          f"after 0.2 % {reverse_at(2e-3, start, iso, slope, kin):.3f}")
    print(f"youngs_modulus = {modulus * MPA:.0f}")
    print(f"curve = {{ offset_stress = {offset_mpa}, exponent = {n} }}")
    print(f"yield_stress = {start}")
    print("isotropic = [" + ", ".join(
        f"{{ saturation = {q}, rate = {r} }}" for q, r in zip(iso, RATES) if q > 0) + "]")
    print(f"slope = {slope:.1f}")
    print("kinematic = [" + ", ".join(
        f"{{ modulus = {c}, recall = {r} }}" for c, r in zip(moduli, RATES) if c > 0) + "]\n")
