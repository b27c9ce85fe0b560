"""A rigid round tool in the hole: grows to full size and shrinks until it touches nothing.

Contact is unilateral and frictionless at every node of the hole edge, by a stiff penalty on the true
gap |x - c| - R of the displaced node: it pushes and never pulls. With the stiffness below the
deepest penetration is some 1e-5 of the expansion. The tool's centre is one more unknown along x
(the mirror line keeps it from moving along y): nothing holds it, so its net force is zero.
"""

import numpy as np

from body import NotPositive

STIFFNESS = 1000.0  # of the penalty, over Young's modulus times thickness, N/mm
TOLERANCE = 1e-8
MOST_ITERATIONS = 25
MOST_HALVINGS = 4
LEAST_FORCE = 0.05  # of the full pressing force: more must not be let go at once


class Tool:
    def __init__(self, body, edge, drilled):
        """`edge` (2, n): unknowns along x and y of the nodes of the edge, of radius `drilled`."""
        self.edge, self.drilled = edge, drilled
        self.start = body.where[:, edge[0]]
        self.k = STIFFNESS * body.metal.young
        self.centre = body.where.shape[1]  # number of the unknown
        self.links = np.vstack([edge, np.full(edge.shape[1], self.centre)]).T

    def push(self, u, radius, last=None):
        """Force on all unknowns, stiffness (n, 3, 3), and the pressing force of every node.

        With `last`, the pressing forces before the increment, the nodes that pressed then are taken
        to touch, and the circle turns those forces: a guess lies so deep inside the tool, or so
        far off it, that the penalty's own force says nothing yet.
        """
        moved = np.stack([u[self.edge[0]] - u[self.centre], u[self.edge[1]]])
        at = self.start + moved
        reach = np.hypot(*at)
        # radius - reach without the cancellation: a stiff penalty would magnify its rounding.
        outward = np.sum((2 * self.start + moved) * moved, axis=0)
        depth = ((radius - self.drilled) * (radius + self.drilled) - outward) / (reach + radius)
        n = at / reach
        t = np.stack([-n[1], n[0]])
        touches = depth > 0 if last is None or not last.any() else last > 0
        pressing = np.where(touches, self.k * depth, 0.0)
        turned = pressing if last is None else last
        stiff = np.where(touches, self.k, 0.0) * n[:, None] * n[None]
        stiff -= turned / reach * t[:, None] * t[None]
        # The centre moves the gap the other way: (ux, uy, c) -> (ux - c, uy).
        moves = np.array([[1.0, 0.0, -1.0], [0.0, 1.0, 0.0]])
        block = np.einsum("ai,abn,bj->nij", moves, stiff, moves)
        force = np.zeros(u.size)
        np.add.at(force, self.edge[0], pressing * n[0])
        np.add.at(force, self.edge[1], pressing * n[1])
        force[self.centre] = -np.sum(pressing * n[0])
        return force, block, pressing


def equilibrium(body, tool, u, radius, last):
    """Newton's method from the guess `u`; `last` pressing forces. Commits nothing."""
    held = body.held
    for iteration in range(MOST_ITERATIONS):
        force, scale, stiffness, stress, new = body.assemble(u)
        push, block, pressing = tool.push(u, radius, last if iteration == 0 else None)
        residual = push - force
        rest, scale = np.linalg.norm(residual[~held]), np.linalg.norm(scale)
        if not np.isfinite(rest):
            raise ArithmeticError("diverged")
        if iteration > 0 and rest <= TOLERANCE * scale:
            return u, stress, new, pressing, iteration
        # A tool that touches nothing has no place of its own: hold it where it is.
        if not pressing.any():
            block[0, 2, 2] += tool.k
        step = body.correction(residual, stiffness, block)
        u = u + step
    raise ArithmeticError(f"no equilibrium after {MOST_ITERATIONS} iterations, {rest / scale:.1e}")


class Run:
    """Drives one tool; keeps what the last increment did as the guess for the next."""

    def __init__(self, body, tool):
        self.body, self.tool = body, tool
        self.u = np.zeros(tool.centre + 1)
        self.rate = np.zeros_like(self.u)
        self.increments = self.iterations = self.deepest = 0
        self.stress, self.pressing = None, np.zeros(tool.edge.shape[1])

    def to(self, begin, end):
        """From tool radius `begin` to `end`, halving where Newton fails."""
        now, size, halved = begin, end - begin, 0
        while abs(end - now) > 1e-13:
            size = np.sign(end - now) * min(abs(size), abs(end - now))
            try:
                u, stress, new, pressing, count = equilibrium(
                    self.body, self.tool, self.u + self.rate * size, now + size, self.pressing)
            except (ArithmeticError, NotPositive):
                halved += 1
                if halved > MOST_HALVINGS:
                    raise
                size, self.rate = 0.5 * size, 0 * self.rate
                continue
            self.rate = (u - self.u) / size
            self.u, self.body.history = u, new
            self.stress, self.pressing = stress, pressing
            self.deepest = max(self.deepest, pressing.max() / self.tool.k)
            self.increments += 1
            self.iterations += count
            now += size

    def expand(self, start, full, steps):
        self.rate[:] = 0
        radii = np.linspace(start, full, steps + 1)
        for begin, end in zip(radii, radii[1:]):
            self.to(begin, end)

    def release(self, full, step):
        """Shrinks the tool by `step` mm at a time until no node touches; returns the share of the
        full pressing force that was let go in one last increment.

        When a few nodes alone still touch, nothing keeps a floating circle between them and Newton's
        method finds no place for it; it is then taken out at once.
        """
        self.rate[:] = 0
        radius, most = full, self.pressing.sum()
        while self.pressing.any():
            try:
                self.to(radius, radius - step)
            except (ArithmeticError, NotPositive):
                rest = self.pressing.sum() / most
                if rest > LEAST_FORCE:
                    raise
                self.rate[:] = 0
                self.to(radius, 0.5 * radius)
                return float(rest)
            radius -= step
        return 0.0
