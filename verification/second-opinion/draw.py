"""A mandrel drawn through a section without friction, in the general-purpose library.

    python draw.py drawn-section.toml 1        # the case, level of the mesh

Shape functions, quadrature (2 × 2 points) and numbering of 8-node quadrilaterals are the library's. The metal is that of
`metal.py`, with all four strains given by the displacements (the hoop strain is u/r). The mandrel is a
stiff penalty on the distance of every node of the bore from its profile; the rim is held at half depth.
Small strains. Coordinates are (r, z), z is the depth below the entry face, the mandrel moves towards rising z.
"""

import argparse
import csv
import json
import time
import tomllib
from pathlib import Path

import numpy as np
import scipy.sparse as sparse
from scipy.sparse.linalg import splu
from skfem import Basis, ElementQuadS2, ElementVector, MeshQuad

import metal as law

HERE = Path(__file__).parent
PENALTY = 3e7  # MPa per mm: 700 MPa press 2e-5 mm deep
MOST_ITERATIONS = 30


def steps(length, first, growth, largest):
    """Cuts of a length whose pieces grow with the distance from both ends."""
    fine = np.linspace(0.0, length, 20001)
    middle = 0.5 * (fine[1:] + fine[:-1])
    size = np.minimum(first + growth * np.minimum(middle, length - middle), largest)
    count = np.concatenate([[0.0], np.cumsum(np.diff(fine) / size)])
    pieces = int(np.ceil(count[-1]))
    return np.interp(np.linspace(0.0, count[-1], pieces + 1), count, fine)


def outward(length, first, growth):
    both = steps(2 * length, first, growth, np.inf)
    return both[: len(both) // 2 + 1]


class Profile:
    """Land between two cones, rounded by arcs that touch both. Radii count from the land."""

    def __init__(self, tool):
        self.land, self.fillet = tool["land"], tool["fillet"]
        self.angles = np.radians([tool["lead_angle"], tool["trail_angle"]])

    def stand(self, r, s):
        """Distance from the tool and normal (2, n) of points; s along the draw, 0 at the front of the land."""
        middle = -0.5 * self.land
        ahead = s >= middle
        angle = np.where(ahead, *self.angles)
        out = np.abs(s - middle)
        # The arc begins where the land ends, and its centre lies below that place.
        start = 0.5 * self.land - self.fillet * np.tan(0.5 * angle)
        up, along = r + self.fillet, out - start
        turn = np.clip(np.arctan2(along, up), 0.0, angle)
        normal = np.stack([np.cos(turn), np.sin(turn)])
        gap = up * normal[0] + along * normal[1] - self.fillet
        normal[1] *= np.where(ahead, 1.0, -1.0)
        return gap, normal


class Section:
    def __init__(self, case, level):
        plate, numerics = case["plate"], case["numerics"]
        self.inner, self.outer = 0.5 * case["hole"]["starting_diameter"], 0.5 * plate["outer_diameter"]
        self.thickness = plate["thickness"]
        fine = numerics["fineness"] * level
        rows = steps(self.thickness, numerics["face_row"] / fine, 0.2 / fine, numerics["middle_row"] / fine)
        columns = self.inner + outward(self.outer - self.inner, numerics["first_column"] / fine, 0.25 / fine)
        columns[-1] = self.outer
        given = case["material"]
        self.lay(columns, rows, law.Metal(given["youngs_modulus"], given["poissons_ratio"], given["yield_stress"],
                                          given["slope"], []))
        self.boundary(rows)

    def lay(self, columns, rows, metal):
        self.mesh = MeshQuad.init_tensor(columns, rows)
        self.basis = Basis(self.mesh, ElementVector(ElementQuadS2()), intorder=3)
        self.metal = metal
        at = np.asarray(self.basis.mapping.F(self.basis.X))
        fields = [f[0] for f in self.basis.basis]
        strain = [np.stack([f.grad[0, 0], f.grad[1, 1], f.value[0] / at[0], f.grad[0, 1] + f.grad[1, 0]])
                  for f in fields]
        # (elements, points, 4, element unknowns)
        self.strain_of = np.ascontiguousarray(np.stack(strain, axis=-1).transpose(1, 2, 0, 3))
        self.weight = 2 * np.pi * at[0] * self.basis.dx
        self.position = at
        self.dofs = self.basis.element_dofs.T
        self.count = self.basis.N
        self.history = law.History(self.weight.size, 0)

    def boundary(self, rows):
        where = self.basis.doflocs
        radial = np.zeros(self.count, bool)
        for numbers in (self.basis.nodal_dofs, self.basis.facet_dofs):
            radial[numbers[0]] = True
        on_bore = np.isclose(where[0], self.inner)
        order = lambda which: which[np.argsort(where[1, which])]
        self.touch = np.stack([order(np.flatnonzero(on_bore & radial)), order(np.flatnonzero(on_bore & ~radial))])
        self.depth = where[1, self.touch[0]]
        area = np.zeros(self.depth.size)
        for k, height in enumerate(np.diff(rows)):
            area[2 * k : 2 * k + 3] += height / 6 * np.array([1, 4, 1])
        self.area = 2 * np.pi * self.inner * area
        rim = np.flatnonzero(np.isclose(where[0], self.outer) & ~radial)
        held = rim[np.argmin(np.abs(where[1, rim] - 0.5 * self.thickness))]
        self.free = np.setdiff1d(np.arange(self.count), [held])

    def metal_at(self, u):
        shape = self.weight.shape
        strain = np.einsum("eqis,es->ieq", self.strain_of, u[self.dofs], optimize=True).reshape(4, -1)
        s, pressure = law.trial(self.metal, strain, self.history)
        stress = s.copy()
        stress[:3] += pressure
        tangent = np.broadcast_to(self.metal.elastic[:, :, None], (4, 4, strain.shape[1])).copy()
        new = self.history.copy()
        which = np.flatnonzero(law.beyond_yield(self.metal, s, self.history) > 0)
        if which.size:
            old = self.history.part(which)
            step = law.plastic_step(self.metal, s[:, which], old)
            stress[:, which], grown = law.stress_and_history(
                self.metal, s[:, which], pressure[which], old, step[0], step[1])
            new.put(which, grown)
            tangent[:, :, which] = law.slope_along(self.metal, *step)
        forces = np.einsum("eqis,ieq,eq->es", self.strain_of, stress.reshape(4, *shape), self.weight, optimize=True)
        D = tangent.reshape(4, 4, *shape).transpose(2, 3, 0, 1) * self.weight[:, :, None, None]
        elements, points, _, local = self.strain_of.shape
        flat = self.strain_of.reshape(elements, 4 * points, local)
        stiffness = flat.transpose(0, 2, 1) @ (D @ self.strain_of).reshape(flat.shape)
        return forces, stiffness, stress, new

    def equilibrium(self, u, profile, radius, place):
        """Newton's method from the guess `u` with the mandrel at `place`; None when it fails."""
        rows = np.repeat(self.dofs, self.dofs.shape[1], axis=1).ravel()
        columns = np.tile(self.dofs, (1, self.dofs.shape[1])).ravel()
        for _ in range(MOST_ITERATIONS):
            forces, stiffness, stress, new = self.metal_at(u)
            force = np.bincount(self.dofs.ravel(), forces.ravel(), minlength=self.count)
            scale = np.abs(forces).sum() + 1.0
            gap, normal = profile.stand(self.inner + u[self.touch[0]] - radius,
                                        self.depth + u[self.touch[1]] - place)
            push = np.where(gap < 0, -PENALTY * self.area * gap, 0.0)
            for axis in range(2):
                force[self.touch[axis]] -= push * normal[axis]
            residual = -force
            if np.abs(residual[self.free]).sum() < 1e-9 * scale:
                return u, push, normal, stress, new
            stiff = np.where(gap < 0, PENALTY * self.area, 0.0)
            link = [(self.touch[a], self.touch[b], stiff * normal[a] * normal[b]) for a in (0, 1) for b in (0, 1)]
            matrix = sparse.coo_matrix(
                (np.concatenate([stiffness.ravel()] + [v for _, _, v in link]),
                 (np.concatenate([rows] + [a for a, _, _ in link]),
                  np.concatenate([columns] + [b for _, b, _ in link]))), shape=(self.count,) * 2).tocsc()
            step = splu(matrix[self.free][:, self.free], permc_spec="MMD_AT_PLUS_A").solve(residual[self.free])
            u = u.copy()
            u[self.free] += step
        return None


def drawn(section, tool, increment):
    """The whole draw: travel and pull of every increment, and the stress that is left."""
    profile = Profile(tool)
    radius = 0.5 * tool["mandrel_diameter"]
    lead = (radius - section.inner) / np.tan(profile.angles[0])
    trail = (radius - section.inner) / np.tan(profile.angles[1])
    place, end = -lead - 0.01, section.thickness + profile.land + trail
    u, before, last = np.zeros(section.count), np.zeros(section.count), increment
    table, touched, size, deepest = [], False, increment, 0.0
    while place < end:
        guess = u + (u - before) * (size / last) if touched else u
        found = section.equilibrium(guess, profile, radius, place + size)
        if found is None:
            found = section.equilibrium(u, profile, radius, place + size)
        if found is None:
            size *= 0.5
            if size < 1e-4 * increment:
                raise ArithmeticError(f"no equilibrium at {place}")
            continue
        before, (u, push, normal, stress, section.history) = u, found
        place, last = place + size, size
        table.append([place, (push * normal[1]).sum()])
        deepest = max(deepest, (push / section.area).max() / PENALTY)
        if touched and not push.any():
            break
        touched |= bool(push.any())
        size = min(1.5 * size, increment)
    return np.array(table), stress, deepest


def bore_hoop(section, stress):
    """Hoop stress at the corner nodes of the bore: fitted bilinearly in every element, averaged."""
    hoop = stress[2].reshape(section.weight.shape)
    mesh, total, count = section.mesh, {}, {}
    for element in range(mesh.t.shape[1]):
        nodes = mesh.t[:, element]
        r, z = mesh.p[0, nodes], mesh.p[1, nodes]
        if not np.isclose(r.min(), section.inner):
            continue
        x = (section.position[0, element] - r.min()) / np.ptp(r)
        y = (section.position[1, element] - z.min()) / np.ptp(z)
        fit = np.linalg.lstsq(np.stack([np.ones_like(x), x, y, x * y], axis=1), hoop[element], rcond=None)[0]
        for high in (0, 1):
            depth = round(z.max() if high else z.min(), 9)
            total[depth] = total.get(depth, 0.0) + fit[0] + high * fit[2]
            count[depth] = count.get(depth, 0) + 1
    return np.array([[depth, total[depth] / count[depth]] for depth in sorted(total)])


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("case", type=Path)
    parser.add_argument("level", type=int)
    parser.add_argument("--out", type=Path, default=HERE / "results")
    given = parser.parse_args()
    with open(given.case, "rb") as file:
        case = tomllib.load(file)
    clock = time.perf_counter()
    section = Section(case, given.level)
    travel, stress, deepest = drawn(section, case["draw"], case["numerics"]["increment"] / given.level)
    hoop = bore_hoop(section, stress)
    given.out.mkdir(exist_ok=True)
    name = given.out / f"{given.case.stem}-library-{given.level}"
    result = dict(case=given.case.name, level=given.level, elements=section.mesh.t.shape[1],
                  unknowns=int(section.free.size), increments=len(travel),
                  largest_pull_N=float(travel[:, 1].max()), deepest_penetration_mm=float(deepest))
    name.with_suffix(".json").write_text(json.dumps(result, indent=1) + "\n")
    with open(f"{name}-bore.csv", "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["depth_mm", "hoop_MPa"])
        table.writerows([f"{z:.6f}", f"{h:.4f}"] for z, h in hoop)
    print(json.dumps(result, indent=1), f"{time.perf_counter() - clock:.0f} s")
