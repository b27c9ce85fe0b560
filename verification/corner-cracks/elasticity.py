"""Linear elasticity on 27-node hexahedra: stiffness, factorization, solution.

Shape functions and quadrature come from scikit-fem, the sparse direct solver from PARDISO.
Nodes of an element are in tensor order (3 x 3 x 3), the last index fastest.
"""

import numpy as np
import pypardiso
import scipy.sparse
from skfem.element import ElementHex2, ElementQuad2


def tensor_order(element):
    """Order in which the library's nodes stand in a tensor grid."""
    places = np.asarray(element.doflocs)
    return np.lexsort(places.T[::-1])


def shape_functions(element, points):
    """Values (n, q) and gradients (n, q, d) in the reference element, tensor order."""
    order = tensor_order(element)
    pairs = [element.lbasis(points, i) for i in order]
    values = np.array([np.broadcast_to(p[0], points.shape[1]) for p in pairs])
    gradients = np.array([[np.broadcast_to(g, points.shape[1]) for g in p[1]] for p in pairs])
    return values, np.moveaxis(gradients, 1, 2)


def gauss(count, dimension):
    """Points (d, q) and weights (q) of the tensor rule on the unit cube."""
    x, w = np.polynomial.legendre.leggauss(count)
    x, w = 0.5 * (x + 1.0), 0.5 * w
    grids = np.meshgrid(*[x] * dimension, indexing="ij")
    weights = np.ones_like(grids[0])
    for axis in np.meshgrid(*[w] * dimension, indexing="ij"):
        weights = weights * axis
    return np.array([g.reshape(-1) for g in grids]), weights.reshape(-1)


POINTS, WEIGHTS = gauss(3, 3)
VALUES, GRADIENTS = shape_functions(ElementHex2(), POINTS)
FACE_POINTS, FACE_WEIGHTS = gauss(4, 2)
FACE_VALUES, FACE_GRADIENTS = shape_functions(ElementQuad2(), FACE_POINTS)


class Model:
    """One mesh with its material: Young's modulus 1, Poisson's ratio `nu`, `fixed` degrees of freedom (3 n)."""

    def __init__(self, mesh, nu, fixed):
        self.mesh, self.nu = mesh, nu
        self.lame = nu / ((1 + nu) * (1 - 2 * nu))
        self.shear = 0.5 / (1 + nu)
        self.size = 3 * len(mesh.nodes)
        self.number = np.full(self.size, -1)
        self.number[~fixed] = np.arange(np.count_nonzero(~fixed))
        self.solver = None

    def geometry(self, elements):
        """Physical gradients (m, q, 27, 3) and weights times determinant (m, q)."""
        x = self.mesh.nodes[elements]
        jacobian = np.einsum("nqd,mnk->mqkd", GRADIENTS, x, optimize=True)
        determinant = np.linalg.det(jacobian)
        if not (np.all(determinant > 0) or np.all(determinant < 0)):
            sign = np.sign(determinant)
            uneven = np.abs(sign.sum(axis=1)) < sign.shape[1]
            if np.any(uneven):
                raise ValueError(f"{np.count_nonzero(uneven)} elements are folded")
        inverse = np.linalg.inv(jacobian)
        gradients = np.einsum("nqd,mqdk->mqnk", GRADIENTS, inverse, optimize=True)
        return gradients, np.abs(determinant) * WEIGHTS

    def stiffness(self):
        """Upper triangle of the stiffness of the free degrees of freedom."""
        rows, columns, entries = [], [], []
        for start in range(0, len(self.mesh.elements), 400):
            elements = self.mesh.elements[start : start + 400]
            g, w = self.geometry(elements)
            m = len(elements)
            flat = g.reshape(m, 27, 81)
            t = (flat * w[:, :, None]).transpose(0, 2, 1) @ flat
            t = t.reshape(m, 27, 3, 27, 3)
            k = self.lame * t + self.shear * t.transpose(0, 1, 4, 3, 2)
            trace = self.shear * np.einsum("maibi->mab", t)
            for i in range(3):
                k[:, :, i, :, i] += trace
            dof = self.number[3 * elements[:, :, None] + np.arange(3)].reshape(m, 81)
            row = np.broadcast_to(dof[:, :, None], (m, 81, 81))
            column = np.broadcast_to(dof[:, None, :], (m, 81, 81))
            keep = (row >= 0) & (row <= column)
            rows.append(row[keep].astype(np.int32))
            columns.append(column[keep].astype(np.int32))
            entries.append(k.reshape(m, 81, 81)[keep])
        free = int(self.number.max()) + 1
        matrix = scipy.sparse.coo_matrix(
            (np.concatenate(entries), (np.concatenate(rows), np.concatenate(columns))), shape=(free, free)
        )
        return matrix.tocsr()

    def factorize(self):
        """Factor the stiffness once; `solve` uses it for any number of right-hand sides."""
        self.matrix = self.stiffness()
        self.solver = pypardiso.PyPardisoSolver(mtype=2)
        self.solver.factorize(self.matrix)

    def solve(self, forces):
        """Displacements (3 n, k) of nodal forces (3 n, k)."""
        out = np.zeros_like(forces)
        free = self.number >= 0
        out[free] = self.solver.solve(self.matrix, np.asfortranarray(forces[free])).reshape(-1, forces.shape[1])
        return out

    def release(self):
        """Give the memory of the factor back."""
        if self.solver is not None:
            self.solver.free_memory(everything=True)
            self.solver = None
