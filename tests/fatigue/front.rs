//! Part-elliptical cracks: published equations, the weight function over the crack plane, growth of two tips.

#![allow(
    clippy::unreadable_literal,
    clippy::type_complexity,
    clippy::items_after_statements,
    clippy::approx_constant,
    reason = "printed tables keep their look"
)]

use std::f64::consts::PI;

use hoopset::fatigue::crack::CrackSides;
use hoopset::fatigue::front::equations::{
    Site, Surroundings, bending_factor, boundary_factor, shape_factor, unit_intensity,
};
use hoopset::fatigue::front::weight::FrontWeight;
use hoopset::fatigue::growth::ROOT_METRE;

const PHI: [f64; 7] = [0.0, 10.0, 22.5, 45.0, 67.5, 80.0, 90.0];
const DEPTHS: [f64; 3] = [0.2, 0.5, 0.8];

/// Two corner cracks at a hole, `r/t = 1`, wide plate: `a/c`, `F` by depth and angle, factor for one crack.
/// Computed from the published equations by another program, five digits.
const CORNER: [(f64, [([f64; 7], f64); 3]); 3] = [
    (
        0.5,
        [
            ([1.43821, 1.42655, 1.50061, 1.76970, 2.17122, 2.47163, 2.76721], 0.98511),
            ([1.40648, 1.36915, 1.41116, 1.62694, 2.00642, 2.34690, 2.75784], 0.92683),
            ([1.66536, 1.57329, 1.56690, 1.72734, 2.07907, 2.42060, 2.87576], 0.86564),
        ],
    ),
    (
        1.0,
        [
            ([2.55497, 2.47831, 2.42521, 2.45927, 2.68008, 2.89475, 3.11923], 0.99236),
            ([2.26076, 2.15455, 2.07518, 2.09303, 2.35403, 2.64149, 2.97730], 0.95809),
            ([2.32568, 2.15173, 2.00568, 1.94886, 2.18172, 2.48327, 2.87213], 0.91255),
        ],
    ),
    (
        2.0,
        [
            ([2.07553, 2.00369, 1.91195, 1.75224, 1.61980, 1.59760, 1.64978], 0.99613),
            ([1.84066, 1.76215, 1.67330, 1.54793, 1.48081, 1.50519, 1.60186], 0.97739),
            ([1.74950, 1.64829, 1.54114, 1.41078, 1.36952, 1.42012, 1.54699], 0.94846),
        ],
    ),
];

/// Two cracks in the middle of a bore, radius over half the thickness 1; the same angles and depths.
const BORE: [(f64, [[f64; 7]; 3]); 3] = [
    (
        0.5,
        [
            [1.34340, 1.37795, 1.50004, 1.83253, 2.25384, 2.54404, 2.82231],
            [1.05175, 1.07876, 1.17431, 1.43855, 1.81089, 2.13703, 2.55619],
            [1.00280, 1.02991, 1.12696, 1.40416, 1.81089, 2.19092, 2.75152],
        ],
    ),
    (
        1.0,
        [
            [2.29128, 2.29804, 2.32593, 2.43650, 2.64222, 2.80799, 2.97162],
            [1.78475, 1.79197, 1.82215, 1.94863, 2.21907, 2.47824, 2.77845],
            [1.58659, 1.59439, 1.62703, 1.76516, 2.07650, 2.40651, 2.83812],
        ],
    ),
    (
        2.0,
        [
            [1.85227, 1.84517, 1.81644, 1.71168, 1.56545, 1.51269, 1.52788],
            [1.53774, 1.53417, 1.51968, 1.46713, 1.40236, 1.40357, 1.46736],
            [1.36654, 1.36481, 1.35790, 1.33499, 1.32464, 1.37127, 1.48676],
        ],
    ),
];

/// Corner crack at the edge of a wide plate.
const EDGE: [(f64, [[f64; 7]; 3]); 3] = [
    (
        0.5,
        [
            [0.85233, 0.83775, 0.87107, 0.98235, 1.08993, 1.14660, 1.19438],
            [1.05370, 1.00519, 1.01955, 1.13125, 1.26064, 1.33889, 1.41122],
            [1.39624, 1.27045, 1.23529, 1.33109, 1.49527, 1.61551, 1.73811],
        ],
    ),
    (
        1.0,
        [
            [1.16682, 1.12229, 1.08870, 1.06949, 1.08620, 1.11628, 1.15617],
            [1.33130, 1.24282, 1.17606, 1.13667, 1.15950, 1.20303, 1.26079],
            [1.58696, 1.41306, 1.28184, 1.20317, 1.23721, 1.30582, 1.39691],
        ],
    ),
    (
        2.0,
        [
            [0.82028, 0.78807, 0.74958, 0.67563, 0.59734, 0.57194, 0.57869],
            [0.85372, 0.81371, 0.76902, 0.69031, 0.61099, 0.58642, 0.59514],
            [0.90086, 0.84660, 0.79084, 0.70454, 0.62486, 0.60240, 0.61473],
        ],
    ),
];

pub(crate) fn wide(radius: f64, thickness: f64) -> Surroundings {
    Surroundings { radius, thickness, width: f64::INFINITY }
}

/// The printed digits: five decimals.
fn same(found: f64, printed: f64, what: &str) {
    assert!((found - printed).abs() < 0.6e-5, "{what}: {found:.6}, printed {printed}");
}

#[test]
fn the_published_equations_have_every_printed_value() {
    let mut count = 0;
    for (k, depth) in DEPTHS.into_iter().enumerate() {
        for (p, phi) in PHI.into_iter().enumerate() {
            let at = |site, aspect: f64| {
                boundary_factor(site, [depth, depth / aspect], &wide(1.0, 1.0), phi)
            };
            for (aspect, rows) in CORNER {
                let two = at(Site::HoleCorner(CrackSides::Two), aspect);
                same(two, rows[k].0[p], "corner at a hole");
                let one = at(Site::HoleCorner(CrackSides::One), aspect);
                same(one / two, rows[k].1, "one crack");
            }
            for (aspect, rows) in BORE {
                same(at(Site::Bore(CrackSides::Two), aspect), rows[k][p], "bore");
            }
            for (aspect, rows) in EDGE {
                same(at(Site::EdgeCorner, aspect), rows[k][p], "plate edge");
            }
            count += 12;
        }
    }
    assert_eq!(count, 252);
    // Width: a/c = 1, a/t = 0.5, r/t = 1, r/b = 0.2. Bending at 0°, 45°, 90°. Computed as above.
    let narrow = Surroundings { width: 5.0, ..wide(1.0, 1.0) };
    for (sides, printed) in [(CrackSides::Two, 1.054829), (CrackSides::One, 1.047872)] {
        let of =
            |plate: &Surroundings| boundary_factor(Site::HoleCorner(sides), [0.5; 2], plate, 45.0);
        assert!((of(&narrow) / of(&wide(1.0, 1.0)) - printed).abs() < 1e-6);
    }
    for ([a, c], printed) in [
        ([0.5, 0.5], [0.70375, 0.42577, 0.23625]),
        ([0.2, 0.4], [0.85844, 0.71988, 0.67306]),
        ([0.8, 0.4], [0.62624, 0.05065, -0.24016]),
    ] {
        for (phi, printed) in [0.0, 45.0, 90.0].into_iter().zip(printed) {
            same(bending_factor([a, c], 1.0, phi), printed, "bending");
        }
    }
}

#[test]
fn the_equations_have_their_limits() {
    // √Q is the complete elliptic integral E(k) (A. Rawe's fit): 0.2, 0.5, 1 by quadrature here.
    let exact = |aspect: f64| {
        let f = |t: f64| (t.sin().powi(2) + (aspect * t.cos()).powi(2)).sqrt();
        (0..2000).map(|k| f(0.5 * PI * (f64::from(k) + 0.5) / 2000.0)).sum::<f64>() * 0.5 * PI
            / 2000.0
    };
    for (aspect, slack) in [(0.2, 5e-4), (0.5, 1e-4), (1.0, 1e-3)] {
        assert!((shape_factor(aspect).sqrt() / exact(aspect) - 1.0).abs() < slack, "{aspect}");
    }
    // Half a penny in a face, over the embedded 2/π: 1.041 at the deepest place, 1.145 at the face;
    // quarter of a penny in a corner 1.135, 1.055, 1.135; a long shallow crack 1.130 (computed).
    let of = |site, a: f64, c: f64, phi: f64| {
        unit_intensity(site, [a, c], &wide(1e9, 1.0), phi) / (PI * a).sqrt()
    };
    let face = [90.0, 0.0].map(|phi| of(Site::Face, 1e-6, 1e-6, phi) * 0.5 * PI);
    assert!((face[0] - 1.041).abs() < 1e-3 && (face[1] - 1.145).abs() < 1e-3, "{face:?}");
    let corner = [0.0, 45.0, 90.0].map(|phi| of(Site::EdgeCorner, 1e-6, 1e-6, phi) * 0.5 * PI);
    for (found, printed) in corner.into_iter().zip([1.135, 1.055, 1.135]) {
        assert!((found - printed).abs() < 1e-3, "{corner:?}");
    }
    assert!((of(Site::Face, 1e-6, 1.0, 90.0) - 1.130).abs() < 1e-3);
    // A corner at a large hole is a corner in three times the stress: 2.93 to 2.95 at a/t = 0.2, and 2.81 to 2.84 for
    // small flaws, which are therefore 6 % low. With a hole as wide as the plate is thick (r/t = 1) the stress falls
    // over a crack of a/t = 0.02 and leaves 2.73 on the face to 2.80 in the bore. Computed by another program.
    for (depth, radius, low, high) in
        [(0.2, 1e4, 2.93, 2.95), (0.02, 1e4, 2.81, 2.84), (0.02, 1.0, 2.725, 2.805)]
    {
        for phi in [0.0, 45.0, 90.0] {
            let plate = wide(radius, 1.0);
            let [hole, edge] = [Site::HoleCorner(CrackSides::Two), Site::EdgeCorner]
                .map(|site| boundary_factor(site, [depth; 2], &plate, phi));
            assert!((low..high).contains(&(hole / edge)), "{depth} {phi}: {}", hole / edge);
        }
    }
}

#[test]
fn finite_elements_are_met_within_what_the_equations_are_worth() {
    // High-order finite elements, one corner crack, φ = 5 to 85°: D. Gautam and others, arXiv 2506.01173
    // (2025), read off a graph to 0.5 to 1 %. The equations are 3 to 10 % low; they must not be lower.
    let rows: [(f64, f64, f64, f64, [f64; 7]); 2] = [
        (4.0, 0.5, 0.2, 0.8, [1.491, 1.482, 1.561, 1.885, 2.366, 2.722, 2.889]),
        (2.8, 0.8, 0.7, 1.25, [2.532, 2.445, 2.329, 2.362, 2.690, 3.112, 3.374]),
    ];
    for (width, aspect, depth, radius, printed) in rows {
        let plate = Surroundings { radius, thickness: 1.0, width: width * radius };
        for (phi, printed) in [5.0, 10.0, 22.5, 45.0, 67.5, 80.0, 85.0].into_iter().zip(printed) {
            let found = boundary_factor(
                Site::HoleCorner(CrackSides::One),
                [depth, depth / aspect],
                &plate,
                phi,
            );
            let error = found / printed - 1.0;
            println!("b/r {width}, φ {phi}: {:+.1} %", 100.0 * error);
            assert!((-0.11..0.01).contains(&error), "{width} {phi}: {error}");
        }
    }
}

#[test]
fn the_weight_function_is_exact_for_circles_and_errs_as_known_for_ellipses() {
    // Penny: K/√(πa) = Γ(1 + n/2)/[√π Γ(3/2 + n/2)] for (r/a)ⁿ (exact).
    let weights = [0.0, 30.0, 45.0, 60.0, 90.0].map(FrontWeight::new);
    let of = |weight: &FrontWeight, a: f64, stress: &dyn Fn(f64, f64) -> f64| {
        weight.integral([a, 1.0], stress) / (PI * a).sqrt()
    };
    let penny: [(i32, f64); 4] = [(0, 0.636620), (1, 0.5), (2, 0.424413), (4, 0.339531)];
    for weight in &weights {
        for (n, exact) in penny {
            let found = of(weight, 1.0, &|x, z| x.hypot(z).powi(n));
            assert!((found / exact - 1.0).abs() < 2e-3, "{} {n}: {found}", weight.degrees());
        }
    }
    // Embedded ellipses by Ferrers potentials (computed), and how far the weight function is off (computed
    // by another quadrature): half as deep as long, under 1, (x/c)² and (z/a)².
    type Row = (fn(f64, f64) -> f64, [f64; 5], [f64; 5]);
    let rows: [Row; 3] = [
        (
            |_, _| 1.0,
            [0.583876, 0.671553, 0.734185, 0.783956, 0.825726],
            [5.2, 1.3, -0.6, -1.7, -2.4],
        ),
        (
            |x, _| x * x,
            [0.418457, 0.370313, 0.283518, 0.173180, 0.045947],
            [1.2, -0.6, -1.2, -1.2, 1.6],
        ),
        (
            |_, z| z * z / 0.25,
            [0.032489, 0.117759, 0.216631, 0.325163, 0.441335],
            [16.5, 2.1, 0.0, -0.8, -1.1],
        ),
    ];
    for (stress, exact, errors) in rows {
        for ((weight, exact), printed) in weights.iter().zip(exact).zip(errors) {
            let error = 100.0 * (of(weight, 0.5, &stress) / exact - 1.0);
            // Half a percent: tenths are printed, and aspects lie between those of the table.
            assert!(
                (error - printed).abs() < 0.5,
                "{}°: {error:.2} %, known {printed}",
                weight.degrees()
            );
        }
    }
}

/// The computed example: `r` 3.175, `t` 6.35, `b` 25.4, 120 MPa at ratio 0.1, C 1e-10 m a cycle, m 3
/// on ΔK.
pub(crate) fn numeric_life(
    [a0, c0]: [f64; 2],
    sides: CrackSides,
    angles: [f64; 2],
) -> Vec<(f64, f64, f64)> {
    let plate = Surroundings { radius: 3.175, thickness: 6.35, width: 25.4 };
    let rate = |a: f64, c: f64, phi: f64| {
        let k = unit_intensity(Site::HoleCorner(sides), [a, c], &plate, phi) * 108.0 / ROOT_METRE;
        1e-7 * k.powi(3)
    };
    let (mut a, mut c, mut cycles) = (a0, c0, 0.0);
    let mut out = Vec::new();
    let mut marks = [0.5, 0.8, 0.95, 1.0].into_iter().peekable();
    while let Some(mark) = marks.peek() {
        // The midpoint rule, a two-thousandth of the size at a time.
        let (da, dc) = (rate(a, c, angles[1]), rate(a, c, angles[0]));
        let h = 5e-4 * (a / da).min(c / dc);
        let (am, cm) = (a + 0.5 * h * da, c + 0.5 * h * dc);
        let (da, dc) = (rate(am, cm, angles[1]), rate(am, cm, angles[0]));
        let target = mark * plate.thickness;
        if a + h * da >= target {
            let part = (target - a) / (h * da);
            out.push((*mark, cycles + part * h, c + part * h * dc));
            marks.next();
            continue;
        }
        (a, c, cycles) = (a + h * da, c + h * dc, cycles + h);
    }
    out
}

#[test]
fn integrating_the_equations_gives_the_computed_lives() {
    // Cycles to a/t 0.5, 0.8, 0.95, 1 (computed by another program).
    for (flaw, sides, angles, printed) in [
        (1.27, CrackSides::One, [0.0, 90.0], [7200.3, 12011.9, 13981.6, 14589.3]),
        (1.27, CrackSides::Two, [0.0, 90.0], [6489.4, 10133.3, 11399.3, 11760.6]),
        (0.127, CrackSides::One, [0.0, 90.0], [33570.7, 38512.0, 40504.8, 41118.0]),
        (1.27, CrackSides::One, [5.0, 80.0], [9784.2, 16436.4, 19169.5, 20006.8]),
    ] {
        for ((depth, cycles, c), printed) in
            numeric_life([flaw; 2], sides, angles).into_iter().zip(printed)
        {
            println!("{flaw} to {depth}: {cycles:.1}, c {c:.4}");
            assert!((cycles / printed - 1.0).abs() < 5e-4, "{flaw} {depth}: {cycles} {printed}");
        }
    }
}
