"""Solves a case file with the general-purpose library and stores what it finds.

    python expansion.py edge-hole.toml 1        # level 1; level 2 halves every element

Reads geometry, metal and expansion from the case file, so both programs get the same problem;
`increments` of the file is taken too. Writes results/NAME-library-LEVEL.json and -paths.csv.
Quadrilaterals of nine nodes with 3x3 points, or triangles of six nodes with six (`--triangles`).
"""

import argparse
import csv
import json
import time
import tomllib
from pathlib import Path

import numpy as np

import reading
from body import Body, analyze
from finite import FiniteBody
from meshes import plate
from metal import Metal
from tool import Run, Tool

HERE = Path(__file__).parent


def solve(case, level, triangles, increments, around=None, sides=False):
    drawn, (hole,), (stage,) = case["plate"], case["hole"], case["stage"]
    law = case["material"]
    metal = Metal(law["youngs_modulus"], law["poissons_ratio"], law["yield_stress"],
                  law["isotropic"]["slope"], [(k["modulus"], k["recall"]) for k in law.get("kinematic", [])],
                  [(t["saturation"], t["rate"]) for t in law["isotropic"].get("terms", [])])
    a = 0.5 * hole["starting_diameter"]
    cx, cy = hole["at"]
    left, right, top = cx, drawn["width"] - cx, drawn["height"] - cy
    quarter = left == right
    finite = case["numerics"].get("strains", "finite") == "finite"
    mesh = plate(a, (left, right, top), level, triangles, quarter, around)
    body = (FiniteBody if finite else Body)(mesh, metal, drawn["idealisation"])
    x, y = body.where
    axis = np.empty(x.size, int)
    for k, unknowns in enumerate(body.basis.split_indices()):
        axis[unknowns] = k
    held = (axis == 1) & (np.abs(y) < 1e-9)
    if quarter:
        held |= (axis == 0) & (np.abs(x) < 1e-9)
    guided = [s["edge"] for s in case.get("support", []) if s["hold"] == "normal"]
    if "right" in guided:
        held |= (axis == 0) & (np.abs(x - right) < 1e-9)
    on_edge = np.flatnonzero((np.hypot(x, y) < a + 1e-9) & (axis == 0))
    on_edge = on_edge[np.argsort(np.arctan2(y[on_edge], x[on_edge]))]
    partner = {(round(px, 9), round(py, 9)): k
               for k, (px, py) in enumerate(zip(x, y)) if axis[k] == 1 and np.hypot(px, py) < a + 1e-6}
    edge = np.stack([on_edge, [partner[round(x[k], 9), round(y[k], 9)] for k in on_edge]])

    floating = stage["centre"] == "floating" and not quarter
    tool = Tool(body, edge, a)
    # On two mirror lines the centre cannot leave either.
    body.number(np.append(held, not floating), tool.links)
    run = Run(body, tool)
    full = a * (1 + stage["applied_expansion"])
    run.expand(a, full, increments)

    def edge_now():
        return body.where[:, edge[0]] + np.stack([run.u[edge[0]], run.u[edge[1]]])

    def whole(points):
        px, py = points
        keep = py > 1e-9
        px, py = np.concatenate([px, px[keep]]), np.concatenate([py, -py[keep]])
        if quarter:
            keep = px > 1e-9
            px, py = np.concatenate([px, -px[keep]]), np.concatenate([py, py[keep]])
        return px, py

    copies = 4 if quarter else 2
    # On the edge as it stands: the tool's circumference, as thick as the metal there has become.
    corners = np.unique(body.mesh.t)
    corners = corners[np.hypot(*body.mesh.doflocs[:, corners]) < a + 1e-9]
    corners = corners[np.argsort(np.arctan2(*body.mesh.doflocs[::-1, corners]))]
    bearing = np.arctan2(*body.mesh.doflocs[::-1, corners])
    # By length along the edge: the corners stand closer together on one side of the rim.
    by_length = lambda values: float(np.trapezoid(values, bearing) / (bearing[-1] - bearing[0]))
    thick = lambda: by_length(np.exp(reading.at_corners(body, body.third)[corners])) if finite else 1.0
    around = 2 * np.pi * (full if finite else a)
    at_full = dict(
        mean_pressure=float(copies * run.pressing.sum() / (around * thick())),
        edge_thickness_change=thick() - 1,
        mandrel_shift=float(run.u[tool.centre]))
    p_full = body.history.p.copy()
    # Springback of some 1.1 flow stress (1 + nu) a / E, in half as many increments.
    flow = metal.hardened(0.08) + sum(
        C / g * (1 - np.exp(-0.08 * g)) if g else 0.08 * C for C, g in metal.terms)
    let_go = run.release(full, 1.1 * flow * (1 + metal.poisson) * a / metal.young / (0.5 * increments))

    moved = displaced(body, run.u) if finite else None
    crossed = reading.crossed(body, body.history.p, body.history.p - p_full) if sides else None
    hoop = reading.at_corners(body, reading.polar(body, run.stress)[1], crossed)
    radial = reading.at_corners(body, reading.polar(body, run.stress)[0], crossed)
    p = reading.at_corners(body, body.history.p)
    again = reading.at_corners(body, body.history.p - p_full)
    paths, rows = {}, []
    for degrees in [0, 90] if quarter else [0, 90, 180]:
        distance, h = reading.along(body, hoop, np.radians(degrees), a, moved)
        other = [reading.along(body, q, np.radians(degrees), a)[1] for q in (p, again, radial)]
        paths[str(degrees)] = reading.path_numbers(distance, h, *other[:2])
        rows += [(degrees, *row) for row in zip(distance, h, other[2], other[0])]
    on_left = np.flatnonzero((np.abs(x + left) < 1e-9) & (axis == 0))
    diameter = reading.mean_diameter(edge_now(), whole)
    result = dict(
        at_full=at_full, edge_thickness_change=thick() - 1, retained_expansion=float(diameter / (2 * a) - 1), paths=paths,
        edge_bulge=float(np.ptp(run.u[on_left])) if not quarter else None,
        unknowns=int(x.size), elements=int(body.elements), points=int(body.elements * body.points),
        increments=run.increments, iterations=run.iterations, factorizations=body.factors,
        let_go_at_once=let_go, deepest_penetration_mm=float(run.deepest),
        factorization="sparse Cholesky" if analyze else "sparse LU")
    return result, rows


def displaced(body, u):
    """Displacement (2, corners) of the mesh's corner nodes."""
    moved = np.zeros_like(body.mesh.doflocs)
    nodal = body.basis.nodal_dofs
    # Corners come first among the nodes.
    moved[:, :nodal.shape[1]] = u[nodal[0]], u[nodal[1]]
    return moved


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("case", type=Path)
    parser.add_argument("level", type=int)
    parser.add_argument("--triangles", action="store_true")
    parser.add_argument("--increments", type=int)
    parser.add_argument("--radial", action="store_true", help="halve layers alone, sectors stay those of level 1")
    parser.add_argument("--sides", action="store_true", help="read stresses beside a kink from its own side alone")
    parser.add_argument("--out", type=Path, default=HERE / "results")
    given = parser.parse_args()
    with open(given.case, "rb") as file:
        case = tomllib.load(file)
    increments = given.increments or case["numerics"]["increments"]
    clock = time.perf_counter()
    result, rows = solve(case, given.level, given.triangles, increments, 1 if given.radial else None, given.sides)
    seconds = time.perf_counter() - clock
    given.out.mkdir(exist_ok=True)
    kind = "triangles" if given.triangles else "quadrilaterals"
    result = dict(case=given.case.name, elements_kind=kind, level=given.level, **result)
    tail = ("-radial" if given.radial else "") + ("-sides" if given.sides else "")
    tail += "" if given.increments is None else f"-{increments}"
    name = f"{given.case.stem}-library-{given.level}{tail}"
    (given.out / f"{name}.json").write_text(json.dumps(result, indent=1) + "\n")
    with open(given.out / f"{name}-paths.csv", "w", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["angle_deg", "distance_mm", "hoop_MPa", "radial_MPa", "equivalent_plastic_strain"])
        table.writerows([d, f"{r:.6f}", f"{h:.4f}", f"{q:.4f}", f"{e:.6g}"] for d, r, h, q, e in rows)
    print(json.dumps(result, indent=1))
    print(f"{seconds:.1f} s")
