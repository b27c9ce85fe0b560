"""A rigid tool grows evenly in rings of several widths and thicknesses, in the general-purpose library.

    python grown.py 1 48        # level of the mesh, increments to 4 %

Is the middle of a thick ring that of generalised plane strain? Elements and metal are those of `draw.py`. Half of the
thickness is meshed; its middle stays in its plane. The bore is given its displacement, which is right as long as every node of
it is pushed: the smallest pressure is in the table. `plane` is the same ring between planes that stay flat and are
free of force on the whole (generalised plane strain). An elastic ring is not in the table: Lamé's stresses have no part along
the axis, so they hold for every thickness and leave the faces free.
Small strains. Coordinates are (r, z), z is the depth below the entry face.
"""

import argparse
import csv
from pathlib import Path

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu

import metal as law
from draw import HERE, Section, outward, steps

METAL = law.Metal(72_000.0, 0.33, 350.0, 1000.0, [])
EXPANSION = 0.04
MOST_ITERATIONS = 40


class Ring(Section):
    """Lengths in bore radii. Without a thickness: one row between flat planes."""

    def __init__(self, outer, thickness, level):
        self.inner, self.outer = 1.0, outer
        half = 0.5 * thickness if thickness else 0.5
        both = steps(2 * half, 0.02 / level, 0.15 / level, 0.2 / level)
        rows = both[: (len(both) + 1) // 2] if thickness else np.array([0.0, 1.0])
        rows = half * rows / rows[-1]
        columns = 1.0 + outward(outer - 1.0, 0.02 / level, 0.2 / level)
        columns[-1] = outer
        self.thickness = half
        self.lay(columns, rows, METAL)
        where = self.basis.doflocs
        radial = np.zeros(self.count, bool)
        for numbers in (self.basis.nodal_dofs, self.basis.facet_dofs):
            radial[numbers[0]] = True
        on = lambda axis, place: np.isclose(where[axis], place)
        bore = np.flatnonzero(on(0, 1.0) & radial)
        self.touch = bore[np.argsort(where[1, bore])]
        self.depth = where[1, self.touch]
        area = np.zeros(self.depth.size)
        for k, height in enumerate(np.diff(rows)):
            area[2 * k : 2 * k + 3] += height / 6 * np.array([1, 4, 1])
        self.area = 2 * np.pi * area
        middle = np.flatnonzero(on(1, half) & radial)
        self.middle = middle[np.argsort(where[0, middle])]
        self.middle_radii = where[0, self.middle]
        held = np.flatnonzero(on(1, half) & ~radial)
        # Unknowns that move as one: the flat plane.
        self.plane = None if thickness else np.flatnonzero(on(1, 0.0) & ~radial)
        self.free = np.setdiff1d(np.arange(self.count), np.concatenate([held, self.touch]))
        self.join()

    def join(self):
        """Unknowns as a product of a matrix and the independent ones."""
        alone = self.free if self.plane is None else np.setdiff1d(self.free, self.plane)
        rows, columns = alone, np.arange(alone.size)
        if self.plane is not None:
            rows = np.concatenate([rows, self.plane])
            columns = np.concatenate([columns, np.full(self.plane.size, alone.size)])
        width = alone.size + (self.plane is not None)
        self.span = sparse.csc_matrix((np.ones(rows.size), (rows, columns)), shape=(self.count, width))

    def equilibrium(self, guess, opening):
        rows = np.repeat(self.dofs, self.dofs.shape[1], axis=1).ravel()
        columns = np.tile(self.dofs, (1, self.dofs.shape[1])).ravel()
        u = guess.copy()
        for _ in range(MOST_ITERATIONS):
            forces, stiffness, _, new = self.metal_at(u)
            force = np.bincount(self.dofs.ravel(), forces.ravel(), minlength=self.count)
            left = opening - u[self.touch]
            residual = -self.span.T @ force
            if np.abs(left).max() < 1e-14 and np.abs(residual).sum() < 1e-9 * np.abs(forces).sum():
                return u, force, new
            by = np.zeros(self.count)
            by[self.touch] = left
            matrix = sparse.coo_matrix((stiffness.ravel(), (rows, columns)), shape=(self.count,) * 2).tocsc()
            small = (self.span.T @ matrix @ self.span).tocsc()
            step = splu(small, permc_spec="MMD_AT_PLUS_A").solve(residual - self.span.T @ (matrix @ by))
            u += by + self.span @ step
        raise ArithmeticError(f"no equilibrium at {opening}")

    def grow(self, increments):
        """Pressures in MPa: mean, in the middle tenth, smallest; displacement (bore radii) at 4 radii in the middle."""
        u, before = np.zeros(self.count), np.zeros(self.count)
        for k in range(increments):
            guess = u + (u - before) if k else u
            before, (u, force, self.history) = u, self.equilibrium(guess, EXPANSION * (k + 1) / increments)
        push = force[self.touch]
        inside = self.depth >= 0.9 * self.thickness - 1e-9
        outside = np.interp(min(4.0, self.outer), self.middle_radii, u[self.middle])
        return (push.sum() / self.area.sum(), push[inside].sum() / self.area[inside].sum(),
                (push / self.area).min(), outside)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("level", type=int)
    parser.add_argument("increments", type=int)
    parser.add_argument("--out", type=Path, default=HERE / "results" / "grown-rings-library.csv")
    given = parser.parse_args()
    with open(given.out, "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["rim_over_bore", "thickness_over_bore_radius", "mean_MPa", "middle_MPa", "smallest_MPa",
                        "middle_over_plane", "displacement_at_4_radii_over_plane"])
        for outer in (2, 3, 5, 10, 30):
            plane = Ring(outer, None, given.level).grow(given.increments)
            table.writerow([outer, "plane", *(f"{p:.2f}" for p in plane[:3]), "1.0000", "1.0000"])
            for thickness in (2, 5, 7, 10, 14, 20, 40):
                found = Ring(outer, thickness, given.level).grow(given.increments)
                row = [outer, thickness, *(f"{p:.2f}" for p in found[:3]),
                       f"{found[1] / plane[1]:.4f}", f"{found[3] / plane[3]:.4f}"]
                print(*row, flush=True)
                table.writerow(row)
