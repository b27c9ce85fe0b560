//! Two rings in plane strain along their radius alone: a solution of its own, to hold bushes against.
//!
//! Nothing here is the program's: two-node elements on the radius with one point each, the radial return
//! of isotropic linear hardening with its consistent tangent, a tridiagonal matrix, contact by a stiff
//! spring that only pushes. Source of the return map: J. C. Simo, T. J. R. Hughes, Computational
//! Inelasticity (1998), box 3.1 and 3.2 (from memory); small strains.

/// A metal of linear hardening, MPa.
#[derive(Clone, Copy)]
pub(crate) struct Metal {
    pub(crate) young: f64,
    pub(crate) nu: f64,
    pub(crate) yield_stress: f64,
    pub(crate) slope: f64,
}

/// Plastic strain `(r, θ, z)` and its equivalent at a point.
#[derive(Clone, Copy, Default)]
struct Flow {
    strain: [f64; 3],
    equivalent: f64,
}

/// A bush of radii `a`, `b` in a ring of radii `c`, `d`, mm.
pub(crate) struct Rings {
    radii: Vec<f64>,
    /// Elements of the bush.
    of_bush: usize,
    metals: [Metal; 2],
    flows: Vec<Flow>,
    moved: Vec<f64>,
    /// Share of the overlap that does not count yet.
    pub(crate) allowance: f64,
}

/// How the bore is held.
#[derive(Clone, Copy)]
pub(crate) enum Bore {
    Free,
    /// Its displacement, mm.
    At(f64),
}

impl Rings {
    pub(crate) fn new(
        [a, b]: [f64; 2],
        [c, d]: [f64; 2],
        elements: usize,
        metals: [Metal; 2],
    ) -> Self {
        let even = |from: f64, to: f64| {
            (0..=elements).map(move |k| from + (to - from) * k as f64 / elements as f64)
        };
        let radii: Vec<f64> = even(a, b).chain(even(c, d)).collect();
        let (points, nodes) = (2 * elements, radii.len());
        Self {
            radii,
            of_bush: elements,
            metals,
            flows: vec![Flow::default(); points],
            moved: vec![0.0; nodes],
            allowance: 0.0,
        }
    }

    fn element(&self, k: usize) -> (usize, Metal) {
        if k < self.of_bush { (k, self.metals[0]) } else { (k + 1, self.metals[1]) }
    }

    fn stiffness(&self) -> f64 {
        1e5 * self.metals[0].young.max(self.metals[1].young)
    }

    /// Gap at the fit less what is allowed for; negative where the rings push.
    fn gap(&self, moved: &[f64]) -> f64 {
        let inner = self.of_bush;
        let drawn = self.radii[inner + 1] - self.radii[inner];
        drawn - self.allowance * drawn.min(0.0) + moved[inner + 1] - moved[inner]
    }

    /// Pressure at the fit, MPa.
    pub(crate) fn pressure(&self) -> f64 {
        (-self.gap(&self.moved) * self.stiffness()).max(0.0) / self.radii[self.of_bush]
    }

    /// Displacement of the bore, mm.
    pub(crate) fn bore(&self) -> f64 {
        self.moved[0]
    }

    /// Hoop stress of element `k`, MPa, and its radius.
    pub(crate) fn hoop(&self, k: usize) -> [f64; 2] {
        let (node, _) = self.element(k);
        let radius = 0.5 * (self.radii[node] + self.radii[node + 1]);
        [radius, self.answer(k, &self.moved).0[1]]
    }

    /// Stress `(r, θ, z)`, tangent in (r, θ) and new flow of element `k`.
    fn answer(&self, k: usize, moved: &[f64]) -> ([f64; 3], [[f64; 2]; 2], Flow) {
        let (node, metal) = self.element(k);
        let (r0, r1) = (self.radii[node], self.radii[node + 1]);
        let strain = [
            (moved[node + 1] - moved[node]) / (r1 - r0),
            (moved[node] + moved[node + 1]) / (r0 + r1),
            0.0,
        ];
        let shear = metal.young / (2.0 * (1.0 + metal.nu));
        let bulk = metal.young / (3.0 * (1.0 - 2.0 * metal.nu));
        let flow = self.flows[k];
        let volume: f64 = strain.iter().sum();
        let trial: [f64; 3] =
            std::array::from_fn(|i| 2.0 * shear * (strain[i] - volume / 3.0 - flow.strain[i]));
        let size = trial.iter().map(|s| s * s).sum::<f64>().sqrt();
        let root = (2.0_f64 / 3.0).sqrt();
        let over = size - root * (metal.yield_stress + metal.slope * flow.equivalent);
        let (mut next, mut theta, mut theta_bar) = (flow, 1.0, 0.0);
        let normal = trial.map(|s| s / size.max(1e-30));
        if over > 0.0 {
            let growth = over / (2.0 * shear + 2.0 / 3.0 * metal.slope);
            theta = 1.0 - 2.0 * shear * growth / size;
            theta_bar = 1.0 / (1.0 + metal.slope / (3.0 * shear)) - (1.0 - theta);
            next.equivalent += root * growth;
            next.strain.iter_mut().zip(normal).for_each(|(strain, n)| *strain += growth * n);
        }
        let growth = if over > 0.0 { over / (2.0 * shear + 2.0 / 3.0 * metal.slope) } else { 0.0 };
        let stress =
            std::array::from_fn(|i| bulk * volume + trial[i] - 2.0 * shear * growth * normal[i]);
        let tangent = std::array::from_fn(|i| {
            std::array::from_fn(|j| {
                let same = f64::from(u8::from(i == j)) - 1.0 / 3.0;
                bulk + 2.0 * shear * theta * same - 2.0 * shear * theta_bar * normal[i] * normal[j]
            })
        });
        (stress, tangent, next)
    }

    /// Brings the rings to equilibrium; forces are by radian and unit of thickness.
    pub(crate) fn settle(&mut self, bore: Bore) {
        let nodes = self.radii.len();
        let mut moved = self.moved.clone();
        for iteration in 0..60 {
            let (mut out, mut on, mut next) =
                (vec![0.0; nodes], vec![0.0; nodes], vec![0.0; nodes]);
            for k in 0..self.flows.len() {
                let (node, _) = self.element(k);
                let (r0, r1) = (self.radii[node], self.radii[node + 1]);
                let (length, radius) = (r1 - r0, 0.5 * (r0 + r1));
                let (stress, tangent, _) = self.answer(k, &moved);
                let rows = [[-1.0 / length, 0.5 / radius], [1.0 / length, 0.5 / radius]];
                let weight = length * radius;
                let pair = |a: usize, b: usize| -> f64 {
                    let mut sum = 0.0;
                    for i in 0..2 {
                        for j in 0..2 {
                            sum += rows[a][i] * tangent[i][j] * rows[b][j];
                        }
                    }
                    weight * sum
                };
                for a in 0..2 {
                    out[node + a] -= weight * (rows[a][0] * stress[0] + rows[a][1] * stress[1]);
                    on[node + a] += pair(a, a);
                }
                next[node] += pair(0, 1);
            }
            let (inner, gap) = (self.of_bush, self.gap(&moved));
            if gap < 0.0 {
                let k = self.stiffness();
                out[inner] += k * gap;
                out[inner + 1] -= k * gap;
                on[inner] += k;
                on[inner + 1] += k;
                next[inner] -= k;
            }
            if let Bore::At(held) = bore {
                out[1] -= next[0] * (held - moved[0]);
                (out[0], on[0], next[0]) = (held - moved[0], 1.0, 0.0);
            }
            // Tridiagonal and symmetric.
            let lower = next.clone();
            for k in 1..nodes {
                let share = lower[k - 1] / on[k - 1];
                on[k] -= share * next[k - 1];
                out[k] -= share * out[k - 1];
            }
            let mut step = vec![0.0; nodes];
            for k in (0..nodes).rev() {
                let beyond = if k + 1 < nodes { next[k] * step[k + 1] } else { 0.0 };
                step[k] = (out[k] - beyond) / on[k];
            }
            let largest = step.iter().fold(0.0_f64, |most, one| most.max(one.abs()));
            moved.iter_mut().zip(&step).for_each(|(moved, step)| *moved += step);
            if largest < 1e-12 {
                break;
            }
            assert!(iteration < 59, "no equilibrium: {largest}");
        }
        for k in 0..self.flows.len() {
            self.flows[k] = self.answer(k, &moved).2;
        }
        self.moved = moved;
    }
}
