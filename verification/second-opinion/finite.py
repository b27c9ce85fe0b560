"""The body of `body.py` in large deformation: logarithmic strain by principal stretches.

C = FᵀF is taken apart by the eigenvalue routine of numpy, E = ½ ln C put together from its principal
values, and the stress T that does work on E taken back the same way. hoopset never looks for principal
stretches. The part of the tangent that comes of the changing geometry is had by differences of the
nominal stress with T kept; only the rate of Newton's method depends on it.

Return maps are those of small strains, with E for the strain.
"""

import time

import numpy as np

from body import Body

STEP = 1e-6  # of the displacement gradient, for differences


class FiniteBody(Body):
    """Elements in large deformation; `third` is the strain through the thickness at the points."""

    def __init__(self, mesh, metal, idealisation, order=4):
        super().__init__(mesh, metal, idealisation, order)
        self.plane_stress = idealisation == "plane stress"
        gradients = [field[0].grad for field in self.basis.basis]
        rows = [np.stack([g[0, 0], g[0, 1], g[1, 0], g[1, 1]]) for g in gradients]
        # (elements, points, 4, element unknowns): xX, xY, yX, yY
        self.gradient_of = np.ascontiguousarray(np.stack(rows, axis=-1).transpose(1, 2, 0, 3))
        self.third = np.zeros(self.elements * self.points)

    def assemble(self, u):
        clock = time.perf_counter()
        local = u[self.dofs]
        H = np.einsum("eqis,es->eqi", self.gradient_of, local, optimize=True).reshape(-1, 2, 2)
        F = H + np.eye(2)
        C = np.swapaxes(F, 1, 2) @ F
        value, vector = np.linalg.eigh(C)
        log = 0.5 * np.log(value)
        E = np.einsum("pia,pa,pja->pij", vector, log, vector)
        strain = np.stack([E[:, 0, 0], E[:, 1, 1], 2 * E[:, 0, 1]])
        stress, tangent, new = self.respond(self.metal, strain, self.history)
        T = np.empty_like(C)
        T[:, 0, 0], T[:, 1, 1], T[:, 0, 1], T[:, 1, 0] = stress[0], stress[1], stress[3], stress[3]
        P = nominal(F, T)
        shape = (self.elements, self.points)
        flat = (P.reshape(*shape, 4) * self.weight[:, :, None]).reshape(self.elements, 1, -1)
        G = self.gradient_of.reshape(self.elements, -1, self.dofs.shape[1])
        forces = (flat @ G)[:, 0]
        force = np.bincount(self.dofs.ravel(), forces.ravel(), minlength=self.held.size)
        scale = np.bincount(self.dofs.ravel(), np.abs(forces).ravel(), minlength=self.held.size)

        geometric = np.empty((F.shape[0], 4, 4))
        for k in range(4):
            by = np.zeros((2, 2))
            by.flat[k] = STEP
            change = (nominal(F + by, T) - nominal(F - by, T)) / (2 * STEP)
            geometric[:, :, k] = change.reshape(-1, 4)
        # dE/dF, by the same differences: (points, 3, 4) with the engineering shear.
        turn = np.empty((F.shape[0], 3, 4))
        for k in range(4):
            by = np.zeros((2, 2))
            by.flat[k] = STEP
            change = (logarithmic(F + by) - logarithmic(F - by)) / (2 * STEP)
            turn[:, :, k] = change.T
        D = 0.5 * (tangent + tangent.transpose(1, 0, 2)).transpose(2, 0, 1)
        A = np.swapaxes(turn, 1, 2) @ D @ turn + 0.5 * (geometric + np.swapaxes(geometric, 1, 2))
        A = A.reshape(*shape, 4, 4) * self.weight[:, :, None, None]
        AG = (A @ self.gradient_of).reshape(G.shape)
        stiffness = G.transpose(0, 2, 1) @ AG

        if self.plane_stress:
            self.third = new.flow[2] - self.metal.poisson / self.metal.young * (stress[0] + stress[1])
        volume = np.linalg.det(F) * np.exp(self.third)
        true = P @ np.swapaxes(F, 1, 2) / volume[:, None, None]
        cauchy = np.stack([true[:, 0, 0], true[:, 1, 1], stress[2] / volume, true[:, 0, 1]])
        self.clock["assembly"] += time.perf_counter() - clock
        return force, scale, stiffness, cauchy, new


def logarithmic(F):
    """Strain (xx, yy, 2xy) of deformation gradients (points, 2, 2)."""
    value, vector = np.linalg.eigh(np.swapaxes(F, 1, 2) @ F)
    E = np.einsum("pia,pa,pja->pij", vector, 0.5 * np.log(value), vector)
    return np.stack([E[:, 0, 0], E[:, 1, 1], 2 * E[:, 0, 1]])


def nominal(F, T):
    """Force per drawn area of the stress T that does work on the logarithmic strain."""
    value, vector = np.linalg.eigh(np.swapaxes(F, 1, 2) @ F)
    own = np.swapaxes(vector, 1, 2) @ T @ vector
    first, second = value.T
    apart = second - first
    near = np.abs(apart) < 1e-6 * second
    mixed = np.where(near, 1 / (first + second),
                     0.5 * np.log(second / first) / np.where(near, 1.0, apart))
    own[:, 0, 0] /= first
    own[:, 1, 1] /= second
    own[:, 0, 1] *= 2 * mixed
    own[:, 1, 0] *= 2 * mixed
    return F @ vector @ own @ np.swapaxes(vector, 1, 2)
