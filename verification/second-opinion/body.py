"""A plane body in the general-purpose library: shape functions, quadrature and numbering are
the library's; element matrices are batched products, scattered through a map made once.

Sparse Cholesky by CHOLMOD when `sksparse` is there, else the LU of scipy.
"""

import time

import numpy as np
import scipy.sparse as sparse
from skfem import Basis, ElementQuad2, ElementTriP2, ElementVector, MeshQuad2

from metal import RESPONSES, History

try:
    from sksparse.cholmod import CholmodNotPositiveDefiniteError as NotPositive
    from sksparse.cholmod import analyze
except ImportError:
    analyze, NotPositive = None, RuntimeError


class Body:
    """Elements, points and their history; after `number` also equations."""

    def __init__(self, mesh, metal, idealisation, order=4):
        quads = isinstance(mesh, MeshQuad2)
        element = ElementVector(ElementQuad2() if quads else ElementTriP2())
        self.mesh, self.metal, self.basis = mesh, metal, Basis(mesh, element, intorder=order)
        self.respond = RESPONSES[idealisation]
        gradients = [field[0].grad for field in self.basis.basis]
        rows = [np.stack([g[0, 0], g[1, 1], g[0, 1] + g[1, 0]]) for g in gradients]
        # (elements, points, 3, element unknowns)
        self.strain_of = np.ascontiguousarray(np.stack(rows, axis=-1).transpose(1, 2, 0, 3))
        self.weight = np.array(self.basis.dx)
        self.elements, self.points = self.weight.shape
        self.dofs = self.basis.element_dofs.T.copy()
        self.history = History(self.elements * self.points, len(metal.terms))
        self.where = self.basis.doflocs  # (2, unknowns)
        positions = self.basis.mapping.F(self.basis.X)
        self.position = np.asarray(positions).reshape(2, -1)
        self.clock = dict(assembly=0.0, factor=0.0, solve=0.0, analysis=0.0)
        self.factors = 0
        self.factor = None

    def number(self, held, links=None):
        """Sets up the equations: free numbering, pattern, scatter maps.

        `held` says of every unknown whether it is fixed, and may be longer than the body's own
        unknowns; `links` (links, unknowns a link) couples some beside the elements: contact.
        """
        self.held = held
        self.free = np.flatnonzero(~self.held)
        to = np.full(self.held.size, -1)
        to[self.free] = np.arange(self.free.size)
        count = self.free.size
        blocks = [self.dofs] + ([links] if links is not None else [])
        keys, masks = [], []
        for block in blocks:
            row = to[np.repeat(block, block.shape[1], axis=1)].ravel()
            column = to[np.tile(block, (1, block.shape[1]))].ravel()
            masks.append(np.flatnonzero((row >= 0) & (column >= 0)))
            keys.append((column.astype(np.int64) * count + row)[masks[-1]])
        places, inverse = np.unique(np.concatenate(keys), return_inverse=True)
        ends = np.cumsum([len(k) for k in keys])[:-1]
        self.scatter = list(zip(masks, np.split(inverse, ends)))
        indices = (places % count).astype(np.int32)
        starts = np.searchsorted(places, np.arange(count + 1, dtype=np.int64) * count)
        self.pattern = (indices, starts.astype(np.int32), places.size)
        if analyze is not None:
            clock = time.perf_counter()
            self.factor = analyze(self.matrix(np.ones(places.size)), ordering_method="amd")
            self.clock["analysis"] += time.perf_counter() - clock

    def matrix(self, values):
        indices, starts, _ = self.pattern
        return sparse.csc_matrix((values, indices, starts), shape=(self.free.size,) * 2)

    def assemble(self, u):
        """Internal force, its scale, element tangents, and the history that would result."""
        clock = time.perf_counter()
        local = u[self.dofs]
        strain = np.einsum("eqis,es->ieq", self.strain_of, local, optimize=True).reshape(3, -1)
        stress, tangent, new = self.respond(self.metal, strain, self.history)
        shape = (self.elements, self.points)
        plane = stress[[0, 1, 3]].reshape(3, *shape) * self.weight
        B = self.strain_of.reshape(self.elements, -1, self.dofs.shape[1])
        flat = np.ascontiguousarray(plane.transpose(1, 2, 0)).reshape(self.elements, 1, -1)
        forces = (flat @ B)[:, 0]
        force = np.bincount(self.dofs.ravel(), forces.ravel(), minlength=self.held.size)
        scale = np.bincount(self.dofs.ravel(), np.abs(forces).ravel(), minlength=self.held.size)
        D = (0.5 * (tangent + tangent.transpose(1, 0, 2))).reshape(3, 3, *shape) * self.weight
        DB = (np.ascontiguousarray(D.transpose(2, 3, 0, 1)) @ self.strain_of).reshape(B.shape)
        stiffness = B.transpose(0, 2, 1) @ DB
        self.clock["assembly"] += time.perf_counter() - clock
        return force, scale, stiffness, stress, new

    def correction(self, residual, stiffness, link_stiffness=None):
        """Solves the linear system of one Newton step for the free unknowns."""
        clock = time.perf_counter()
        size = self.pattern[2]
        values = np.zeros(size)
        for (mask, place), block in zip(self.scatter, [stiffness, link_stiffness]):
            values += np.bincount(place, block.ravel()[mask], minlength=size)
        matrix = self.matrix(values)
        self.clock["assembly"] += time.perf_counter() - clock
        clock = time.perf_counter()
        self.factors += 1
        if self.factor is None:
            solve = sparse.linalg.splu(matrix, permc_spec="MMD_AT_PLUS_A").solve
        else:
            self.factor.cholesky_inplace(matrix)
            solve = self.factor
        self.clock["factor"] += time.perf_counter() - clock
        clock = time.perf_counter()
        full = np.zeros(self.held.size)
        full[self.free] = solve(residual[self.free])
        self.clock["solve"] += time.perf_counter() - clock
        return full
