"""Exact answer to `reverse-hardening`, by integration along the radius; needs nothing but Python.

Incompressible metal in plane strain moves as u = A/r, whatever its law, so the strain is known up to
one number A. Every ring then follows its own one-dimensional law in s = (sqrt(3)/2)(hoop - radial) and
e = (2/sqrt(3)) A/r^2, and the pressure is the integral of (hoop - radial)/r through the wall.
"""
from math import exp, log, sqrt

E, YIELD, SLOPE, RECALL = 210000.0, 240.0, 20000.0, 200.0
INNER, OUTER, PRESSURE = 100.0, 300.0, 340.0
PIECES = 4000


def bisect(f, low, high):
    for _ in range(100):
        middle = 0.5 * (low + high)
        if f(middle) > 0.0:
            high = middle
        else:
            low = middle
    return 0.5 * (low + high)


def loaded(law, e):
    """Plastic strain and backstress after a first pull to strain e."""
    if E * e <= YIELD:
        return 0.0, 0.0
    def rise(p):
        if law == "fading kinematic":
            return SLOPE / RECALL * (1.0 - exp(-RECALL * p))
        return SLOPE * p
    p = bisect(lambda p: YIELD + rise(p) - E * (e - p), 0.0, e)
    return p, rise(p)


def unloaded(law, first, e):
    """Stress at strain e after the first pull to strain `first`."""
    p, rise = loaded(law, first)
    elastic = E * (e - p)
    if law == "isotropic":
        if elastic >= -(YIELD + rise):
            return elastic
        # Plastic strain q below p: size YIELD + SLOPE (p + (p - q)).
        q = bisect(lambda q: -(YIELD + SLOPE * (2.0 * p - q)) - E * (e - q), e - 1.0, p)
        return E * (e - q)
    if elastic >= rise - YIELD:
        return elastic
    def back(q):
        if law == "kinematic":
            return rise - SLOPE * (p - q)
        saturation = SLOPE / RECALL
        return -saturation + (rise + saturation) * exp(-RECALL * (p - q))
    q = bisect(lambda q: back(q) - YIELD - E * (e - q), p - 0.05, p)
    return E * (e - q)


def pressure(stress):
    """Integral of (hoop - radial)/r dr by Simpson in ln r."""
    step = log(OUTER / INNER) / PIECES
    total = 0.0
    for k in range(PIECES + 1):
        weight = 1 if k in (0, PIECES) else (4 if k % 2 else 2)
        total += weight * 2.0 / sqrt(3.0) * stress(INNER * exp(k * step))
    return total * step / 3.0


def main():
    strain = lambda a, r: 2.0 / sqrt(3.0) * a / r**2
    for law in ("isotropic", "kinematic", "fading kinematic"):
        pull = lambda a: pressure(lambda r: E * (strain(a, r) - loaded(law, strain(a, r))[0]))
        a1 = bisect(lambda a: pull(a) - PRESSURE, 0.0, 500.0)
        left = lambda a: (lambda r: unloaded(law, strain(a1, r), strain(a, r)))
        a2 = bisect(lambda a: pressure(left(a)), a1 - 60.0, a1)
        s = left(a2)
        print(f"{law}: u_a loaded {a1 / INNER:.6f}, left {a2 / INNER:.6f}")
        step = log(OUTER / INNER) / PIECES
        radial, rows = 0.0, []
        before = 2.0 / sqrt(3.0) * s(INNER)
        for k in range(1, PIECES + 1):
            now = 2.0 / sqrt(3.0) * s(INNER * exp(k * step))
            if k == 1:
                rows.append((INNER, before))
            radial += 0.5 * step * (before + now)
            before = now
            rows.append((INNER * exp(k * step), now + radial))
        for want in (100.0, 110.0, 120.0, 150.0, 200.0, 300.0):
            i = min(range(len(rows) - 1), key=lambda i: abs(rows[i][0] - want))
            j = i + 1 if rows[i][0] <= want and i + 1 < len(rows) else i - 1
            (x0, y0), (x1, y1) = rows[i], rows[j]
            print(f"   hoop({want:g}) = {y0 + (want - x0) / (x1 - x0) * (y1 - y0):.4f}")
        marks = ", ".join(f"[{r:.2f}, {h:.2f}]" for r, h in rows[::80])
        print(f"   curve = [{marks}]")


main()
