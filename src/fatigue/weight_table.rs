//! Coefficients of the weight function for cracks at a hole, against crack length.
//!
//! Computed: fitted to the exact stress intensity for stresses `yᵏ`, `k = 0…5`, from a
//! dislocation-density solution with the hole's exact Green's function; the worst error of
//! the fits is 5e-5 up to 5 radii and 2e-4 at 20. The first row is the edge crack of a half
//! plane, the limit of a crack that is short beside the hole: the same solution gives it
//! 1.12152 and 0.68286 for uniform and linearly rising stress, the classical values.
//!
//! Floor 6, `fatigue`.

use crate::fatigue::crack::CrackSides;

/// Longest tabulated crack over the hole radius.
pub const LONGEST: f64 = 20.0;

/// Crack length over radius; `M₁, M₂, M₃` for two cracks; the same for one.
type Row = (f64, [f64; 3], [f64; 3]);

/// Between rows the coefficients are straight in `ln(a/R)`, below the second one in `a/R`.
const ROWS: [Row; 15] = [
    (0.0, [0.0310, 0.3297, 0.4811], [0.0310, 0.3297, 0.4811]),
    (0.02, [0.0305, 0.2873, 0.4685], [0.0305, 0.2863, 0.4686]),
    (0.05, [0.0298, 0.2339, 0.4503], [0.0298, 0.2287, 0.4508]),
    (0.10, [0.0289, 0.1667, 0.4218], [0.0289, 0.1489, 0.4234]),
    (0.20, [0.0274, 0.0857, 0.3720], [0.0274, 0.0330, 0.3754]),
    (0.30, [0.0260, 0.0458, 0.3309], [0.0261, -0.0449, 0.3344]),
    (0.50, [0.0236, 0.0201, 0.2710], [0.0236, -0.1378, 0.2671]),
    (0.75, [0.0214, 0.0218, 0.2268], [0.0202, -0.1958, 0.2013]),
    (1.00, [0.0201, 0.0303, 0.2037], [0.0168, -0.2247, 0.1489]),
    (1.50, [0.0194, 0.0440, 0.1882], [0.0103, -0.2477, 0.0692]),
    (2.00, [0.0198, 0.0518, 0.1884], [0.0044, -0.2531, 0.0098]),
    (3.00, [0.0211, 0.0591, 0.1995], [-0.0051, -0.2488, -0.0764]),
    (5.00, [0.0234, 0.0628, 0.2229], [-0.0188, -0.2270, -0.1880]),
    (10.0, [0.0269, 0.0579, 0.2595], [-0.0390, -0.1724, -0.3410]),
    (20.0, [0.0302, 0.0481, 0.2901], [-0.0591, -0.0992, -0.4838]),
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
    let share =
        if upper == 1 { ratio / to.0 } else { (ratio / from.0).ln() / (to.0 / from.0).ln() };
    let (low, high) = (pick(from), pick(to));
    std::array::from_fn(|k| low[k] + share * (high[k] - low[k]))
}
