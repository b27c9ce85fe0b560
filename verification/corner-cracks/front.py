"""Stress intensity along the front by virtual crack extension, and the weight function that follows from it.

For two loads u and v the energy released by a virtual extension q of the front is bilinear,

    int K_u K_v / E' q ds  =  2 G(u, v),     E' = E / (1 - nu^2),

    2 G(u, v) = - int [ sym(sigma(u) : grad v) terms of the energy-momentum tensor ] grad q dV + work of the face tractions.

It is the derivative of the discrete energy with respect to the nodes that q moves, so it needs no path and no
extrapolation. A reference load u (uniform pressure on the faces) gives K_u from G(u, u). For any other pressure s(x, z)

    K_v = E' / K_u * int s dw/da dA

where dw/da, the derivative of the opening of the reference load at a fixed place, takes one solution with the factor
at hand for each place along the front. (Rice, Int. J. Solids Struct. 8, 1972, 751; from memory. The finite-element form: derived.)
"""

import numpy as np
from scipy.interpolate import CubicSpline

from elasticity import FACE_GRADIENTS, FACE_VALUES, FACE_WEIGHTS, GRADIENTS


class Faces:
    """Crack faces with their quadrature points: place (p, 2), weight (p), shape functions and gradients."""

    def __init__(self, mesh):
        self.nodes = mesh.faces
        x = mesh.plane[self.nodes]  # (f, 9, 2)
        jacobian = np.einsum("nqd,fnk->fqkd", FACE_GRADIENTS, x)
        self.weights = (np.abs(np.linalg.det(jacobian)) * FACE_WEIGHTS)
        self.gradients = np.einsum("nqd,fqdk->fqnk", FACE_GRADIENTS, np.linalg.inv(jacobian))
        self.places = np.einsum("nq,fnk->fqk", FACE_VALUES, x).reshape(-1, 2)

    def forces(self, size, stress):
        """Nodal forces (3 n) of a stress (p) at the quadrature points, positive when it opens the crack."""
        load = np.einsum("nq,fq->fn", FACE_VALUES, stress.reshape(self.weights.shape) * self.weights)
        out = np.zeros(size)
        np.add.at(out, 3 * self.nodes + 1, load)
        return out


def remote_tension(mesh, size):
    """Nodal forces (3 n) of a unit stress in y that acts on the outer edge of the plate."""
    out = np.zeros(size)
    x = mesh.nodes[mesh.rim]
    tangents = np.einsum("nqd,fnk->fqdk", FACE_GRADIENTS, x)
    area = np.cross(tangents[:, :, 0], tangents[:, :, 1])
    # Outwards is away from the axis of the hole.
    middle = np.einsum("nq,fnk->fqk", FACE_VALUES, x)
    outwards = np.sign(np.sum(area[..., :2] * middle[..., :2], axis=-1))
    load = np.einsum("nq,fq,q->fn", FACE_VALUES, area[..., 1] * outwards, FACE_WEIGHTS)
    np.add.at(out, 3 * mesh.rim + 1, load)
    return out


def extension(mesh, basis):
    """Displacement (n, 2) of the nodes in the plane for amplitudes (2 n_phi + 1) of the front."""
    q = np.zeros((len(mesh.nodes), 2))
    in_web = mesh.station >= 0
    fade = np.clip((1.0 - mesh.reach[in_web]) / (1.0 - INSIDE), 0.0, 1.0)
    index = mesh.station[in_web]
    q[in_web] = basis[index][:, None] * mesh.normal[index] * fade[:, None]
    return q


# Up to this fraction of the box the virtual extension is a translation of the front's neighbourhood.
INSIDE = 0.55


def energy_force(model, mesh, displacement, q):
    """-(dK/da) u (3 n) for the virtual extension q (n, 2) of the nodes, summed over the web."""
    moved = np.any(q != 0.0, axis=1)
    elements = mesh.elements[np.any(moved[mesh.elements], axis=1)]
    g, w = model.geometry(elements)
    u = displacement.reshape(-1, 3)[elements]
    move = np.zeros((len(mesh.nodes), 3))
    move[:, 0], move[:, 2] = q[:, 0], q[:, 1]
    grad_u = np.einsum("mni,mqnj->mqij", u, g, optimize=True)  # u_i,j
    grad_q = np.einsum("mni,mqnj->mqij", move[elements], g, optimize=True)  # q_i,j

    def stress(gradient):
        strain = 0.5 * (gradient + np.swapaxes(gradient, -1, -2))
        volume = np.trace(strain, axis1=-2, axis2=-1)
        return 2 * model.shear * strain + model.lame * volume[..., None, None] * np.eye(3)

    sigma = stress(grad_u)
    # d(grad u) = -grad u . grad q ; d(dV) = div q dV. Test function v: d(sigma : grad v dV).
    change = stress(-grad_u @ grad_q)
    divergence = np.trace(grad_q, axis1=-2, axis2=-1)
    flux = change + divergence[..., None, None] * sigma - sigma @ np.swapaxes(grad_q, -1, -2)
    force = np.einsum("mq,mqij,mqnj->mni", w, flux, g, optimize=True)
    out = np.zeros(model.size)
    np.add.at(out.reshape(-1, 3), elements, -force)
    return out


def profile(mesh, phi):
    """How the energy release rate of an embedded ellipse under uniform pressure varies along its front."""
    c, a = mesh.plane[mesh.front[0], 0], mesh.plane[mesh.front[-1], 1]
    return np.hypot(a * np.cos(phi), c * np.sin(phi))


def filter_to_angles(mesh):
    """Matrix (n_corner, 2 n_phi + 1) from weighted integrals R to values of G at the corner nodes.

    G is the variation of an embedded ellipse times a cubic spline in the angle, whose values at the corner nodes
    are found from the integrals over hats (one at a corner node, zero at its neighbours).
    """
    x, w = np.polynomial.legendre.leggauss(5)
    x, w = 0.5 * (x + 1), 0.5 * w
    n = np.array([(1 - x) * (1 - 2 * x), 4 * x * (1 - x), x * (2 * x - 1)])
    d = np.array([4 * x - 3, 4 - 8 * x, 4 * x - 1])
    place, corners = mesh.plane[mesh.front], mesh.angles[::2]
    spline = CubicSpline(corners, np.eye(len(corners)))
    products = np.zeros((len(mesh.front), len(corners)))
    for e in range(0, len(mesh.front) - 1, 2):
        s = slice(e, e + 3)
        speed = np.linalg.norm(d.T @ place[s], axis=1)
        # q has the direction of the nodal normals; its part along the true normal is what sweeps area.
        tangent = (d.T @ place[s]) / speed[:, None]
        true_normal = np.stack([tangent[:, 1], -tangent[:, 0]], axis=1)
        along = np.einsum("nk,qk->nq", mesh.normal[s], true_normal)
        angle = n.T @ mesh.angles[s]
        weight = profile(mesh, np.radians(angle)) * speed * w
        products[s] += np.einsum("aq,q,qb->ab", n * along, weight, spline(angle))
    hat = np.zeros((len(corners), len(mesh.front)))
    for i in range(len(hat)):
        hat[i, 2 * i] = 1.0
        for j in (2 * i - 1, 2 * i + 1):
            if 0 <= j < len(mesh.front):
                hat[i, j] = 0.5
    return profile(mesh, np.radians(corners))[:, None] * np.linalg.solve(hat @ products, hat)


class Front:
    """Weight functions of all corner angles: K(angle) = sum over face points of `weight` times stress.

    `weight` (n_corner, p); `reference` (n_corner) is K of the reference load, by default unit pressure.
    """

    def __init__(self, model, mesh, reference=lambda x, z: np.ones_like(x)):
        self.faces = Faces(mesh)
        faces = self.faces
        self.angles = mesh.angles[::2]
        stress = reference(*faces.places.T)
        u = model.solve(faces.forces(model.size, stress)[:, None])[:, 0]
        self.filter = filter_to_angles(mesh)
        uy = u.reshape(-1, 3)[faces.nodes, 1]
        slope = np.einsum("fn,fqnk->fqk", uy, faces.gradients)  # gradient of the opening
        loads, convective = [], []
        for row in self.filter:
            q = extension(mesh, row)
            face_q = q[faces.nodes]
            at_points = np.einsum("nq,fnk->fqk", FACE_VALUES, face_q)
            convective.append(np.einsum("fqk,fqk->fq", at_points, slope).reshape(-1))
            # d(forces) = - int s q . grad N dA for a stress that stays where it is.
            swept = (faces.weights * stress.reshape(faces.weights.shape))[:, :, None] * at_points
            change = -np.einsum("fqk,fqnk->fn", swept, faces.gradients)
            force = energy_force(model, mesh, u, q)
            np.add.at(force, 3 * faces.nodes + 1, change)
            loads.append(force)
        rate = model.solve(np.stack(loads, axis=1))
        self.rate = rate
        total = []
        for i in range(len(self.filter)):
            nodal = rate[:, i].reshape(-1, 3)[faces.nodes, 1]
            total.append(np.einsum("nq,fn->fq", FACE_VALUES, nodal).reshape(-1) - convective[i])
        total = np.array(total) * faces.weights.reshape(-1)
        modulus = 1.0 / (1.0 - model.nu**2)
        # Where the reference load releases no energy (sign changes of an odd load) it can't serve: K is given as zero.
        self.reference = np.sqrt(np.maximum(modulus * total @ stress, 0.0))
        useful = self.reference > 1e-3 * self.reference.max()
        self.scale = np.where(useful, modulus / np.where(useful, self.reference, 1.0), 0.0)
        self.weight = self.scale[:, None] * total

    def intensity(self, stress):
        """K (n_corner) of a stress given as a function of x and z on the faces."""
        return self.weight @ stress(self.faces.places[:, 0], self.faces.places[:, 1])

    def of_forces(self, forces):
        """K (n_corner) of nodal forces (3 n) away from the crack faces, as of a remote tension."""
        return self.scale * (self.rate.T @ forces)
