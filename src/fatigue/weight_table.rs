//! Coefficients of the weight function for cracks at a hole, against crack length.
//!
//! Computed: a dislocation-density solution with the hole's exact Green's function gives the
//! exact stress intensity for the stresses `yᵏ`, `k = 0…5`, the pull of Kirsch and hole
//! pressure; the coefficients are the least-squares fit to these eight, in relative error.
//! What is left of them is below 5e-5 up to 1.5 radii and 9e-4 at 20, for the two real loads
//! below 2e-5 and 5e-4. The first row is the edge crack of a half plane, the limit of a crack
//! that is short beside the hole: the same solution gives it 1.12152 and 0.68286 for uniform
//! and linearly rising stress, the classical values. `tests/fatigue/dislocations.rs` holds the
//! solution itself.
//!
//! Floor 6, `fatigue`.

use crate::fatigue::crack::CrackSides;

/// Longest tabulated crack over the hole radius.
pub const LONGEST: f64 = 20.0;

/// Crack length over radius; `M₁, M₂, M₃` for two cracks; the same for one.
type Row = (f64, [f64; 3], [f64; 3]);

/// Up to this ratio the coefficients are straight in `a/R` between rows, beyond it in
/// `ln(a/R)`: towards a short crack they become a plain series in `a/R`.
const STRAIGHT: f64 = 0.3;

const ROWS: [Row; 27] = [
    (0.0, [0.03102, 0.32971, 0.48113], [0.03102, 0.32971, 0.48113]),
    (0.010, [0.03077, 0.30761, 0.47487], [0.03077, 0.30737, 0.47490]),
    (0.020, [0.03052, 0.28714, 0.46861], [0.03052, 0.28621, 0.46871]),
    (0.035, [0.03017, 0.25906, 0.45941], [0.03016, 0.25634, 0.45967]),
    (0.050, [0.02985, 0.23381, 0.45043], [0.02984, 0.22855, 0.45092]),
    (0.070, [0.02947, 0.20403, 0.43879], [0.02944, 0.19441, 0.43966]),
    (0.100, [0.02895, 0.16647, 0.42206], [0.02892, 0.14869, 0.42358]),
    (0.140, [0.02832, 0.12713, 0.40110], [0.02830, 0.09637, 0.40350]),
    (0.200, [0.02749, 0.08520, 0.37246], [0.02749, 0.03256, 0.37587]),
    (0.250, [0.02684, 0.06147, 0.35104], [0.02687, -0.01021, 0.35480]),
    (0.300, [0.02623, 0.04491, 0.33174], [0.02628, -0.04569, 0.33525]),
    (0.400, [0.02508, 0.02591, 0.29892], [0.02513, -0.10040, 0.29997]),
    (0.500, [0.02407, 0.01812, 0.27286], [0.02397, -0.13977, 0.26888]),
    (0.600, [0.02320, 0.01616, 0.25244], [0.02278, -0.16875, 0.24115]),
    (0.750, [0.02221, 0.01817, 0.23017], [0.02095, -0.19929, 0.20454]),
    (1.000, [0.02129, 0.02497, 0.20872], [0.01782, -0.22949, 0.15342]),
    (1.250, [0.02111, 0.03089, 0.19934], [0.01468, -0.24547, 0.11107]),
    (1.500, [0.02140, 0.03487, 0.19667], [0.01159, -0.25376, 0.07484]),
    (2.000, [0.02270, 0.03836, 0.20077], [0.00561, -0.25841, 0.01466]),
    (2.500, [0.02433, 0.03850, 0.20965], [-0.00004, -0.25493, -0.03493]),
    (3.000, [0.02596, 0.03703, 0.21968], [-0.00542, -0.24733, -0.07774]),
    (4.000, [0.02896, 0.03202, 0.23910], [-0.01544, -0.22592, -0.15038]),
    (5.000, [0.03153, 0.02603, 0.25620], [-0.02466, -0.20066, -0.21170]),
    (7.000, [0.03569, 0.01397, 0.28372], [-0.04117, -0.14707, -0.31329]),
    (10.000, [0.04029, -0.00177, 0.31314], [-0.06225, -0.06922, -0.43305]),
    (14.000, [0.04462, -0.01805, 0.33948], [-0.08542, 0.02320, -0.55618]),
    (20.000, [0.04898, -0.03531, 0.36461], [-0.11304, 0.13856, -0.69493]),
];

/// `M₁, M₂, M₃` for crack length over radius `ratio`, held at the last row beyond it.
pub(crate) fn coefficients(sides: CrackSides, ratio: f64) -> [f64; 3] {
    let pick = |row: &Row| match sides {
        CrackSides::One => row.2,
        CrackSides::Two => row.1,
    };
    let upper = ROWS.partition_point(|row| row.0 <= ratio).clamp(1, ROWS.len() - 1);
    let (from, to) = (&ROWS[upper - 1], &ROWS[upper]);
    let ratio = ratio.min(LONGEST);
    let share = if to.0 <= STRAIGHT {
        (ratio - from.0) / (to.0 - from.0)
    } else {
        (ratio / from.0).ln() / (to.0 / from.0).ln()
    };
    let (low, high) = (pick(from), pick(to));
    std::array::from_fn(|k| low[k] + share * (high[k] - low[k]))
}
