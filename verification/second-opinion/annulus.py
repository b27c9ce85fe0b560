"""Quarter ring, plane strain: the bore is pushed out and let go.

a = 3, b = 30 mm, E = 72000, nu = 0.33, yield stress 350 + 800 p MPa (isotropic); u_r(a) = 0.12 mm in
20 increments, then the force on the bore goes back to zero in 10. Full Newton, relative residual
1e-8. Prints the residual hoop stress at five radii beside the converged 1-D radial solution, and
where the time went. Usage: python annulus.py [layers] [sectors] [--json FILE]
"""

import argparse
import json
import time

import numpy as np

from body import Body
from meshes import annulus
from metal import Metal

RADII = [3.05, 4.0, 5.0, 7.0, 10.0]
RADIAL = [-456.5, -486.8, -261.4, -8.06, 105.6]
TOLERANCE = 1e-8


def run(layers, sectors, growth=20.0):
    clock, busy = time.perf_counter(), time.process_time()
    metal = Metal(72000.0, 0.33, 350.0, 800.0, [])
    body = Body(annulus(3.0, 30.0, layers, sectors, growth), metal, "plane strain")
    x, y = body.where
    unknowns = x.size
    side = component(body)
    mirror = ((x < 1e-9) & (side == 0)) | ((y < 1e-9) & (side == 1))
    bore = np.hypot(x, y) < 3.0 + 1e-9
    outward = np.where(side == 0, x, y) / np.hypot(x, y)
    u = np.zeros(unknowns)
    iterations = 0

    def newton(u, external):
        nonlocal iterations
        for _ in range(30):
            force, scale, stiffness, stress, new = body.assemble(u)
            residual = external - force
            iterations += 1
            if np.linalg.norm(residual[body.free]) <= TOLERANCE * np.linalg.norm(scale):
                body.history = new
                return u, force, stress
            u = u + body.correction(residual, stiffness)
        raise ArithmeticError("no equilibrium")

    body.number(mirror | bore)
    nothing = np.zeros(unknowns)
    last = nothing
    setup = time.perf_counter() - clock
    for step in range(1, 21):
        guess = u + (u - last)  # the interior goes on as it went
        guess[bore] = 0.12 * step / 20 * outward[bore]
        guess[mirror] = 0.0
        last = u
        u, force, stress = newton(guess, nothing)
    body.number(mirror)
    hold = np.where(bore & ~mirror, force, 0.0)
    last = u
    for step in range(1, 11):
        guess = u + (u - last)
        last = u
        u, force, stress = newton(guess, hold * (1 - step / 10))
    total, busy = time.perf_counter() - clock, time.process_time() - busy

    px, py = body.position
    r = np.hypot(px, py)
    c, s = px / r, py / r
    hoop = stress[0] * s**2 + stress[1] * c**2 - 2 * stress[3] * s * c
    # Mean over each circle of points; between circles straight lines, dense enough here.
    circles, index = np.unique(np.round(r, 6), return_inverse=True)
    mean = np.bincount(index, hoop) / np.bincount(index)
    found = np.interp(RADII, circles, mean)
    return dict(
        layers=layers, sectors=sectors, unknowns=int(unknowns), free=int(body.free.size),
        radii_mm=RADII, hoop_MPa=found.tolist(), radial_solution_MPa=RADIAL,
        iterations=iterations, factorizations=body.factors, seconds_total=total, seconds_of_processor=busy,
        seconds_setup=setup, seconds=dict(body.clock))


def component(body):
    """0 for unknowns along x, 1 along y."""
    which = np.empty(body.where.shape[1], int)
    for axis, unknowns in enumerate(body.basis.split_indices()):
        which[unknowns] = axis
    return which


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("layers", nargs="?", type=int, default=60)
    parser.add_argument("sectors", nargs="?", type=int, default=16)
    parser.add_argument("--growth", type=float, default=20.0)
    parser.add_argument("--json")
    given = parser.parse_args()
    result = run(given.layers, given.sectors, given.growth)
    print(f"{result['unknowns']} unknowns, {result['iterations']} assemblies, "
          f"{result['factorizations']} factorizations, {result['seconds_total']:.2f} s, "
          f"{result['seconds_of_processor']:.2f} s of processor "
          f"(" + ", ".join(f"{k} {v:.2f}" for k, v in result["seconds"].items()) + ")")
    for r, a, b in zip(RADII, result["hoop_MPa"], RADIAL):
        print(f"r = {r:5.2f} mm   hoop {a:9.2f} MPa   radial solution {b:8.2f}   {a - b:+.2f}")
    if given.json:
        with open(given.json, "w") as file:
            json.dump(result, file, indent=1)
