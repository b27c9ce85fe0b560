//! Coefficients of the weight function for cracks at a hole, against crack length.
//!
//! Computed: a dislocation-density solution with the hole's exact Green's function gives the
//! exact stress intensity for the stresses `P₂ⱼ(√q)`, `j = 0…13`, `P` being Legendre's polynomials and
//! `q` the distance from the tip over the crack length. These numbers are the projections of the exact
//! weight function on a complete set; the coefficients are its best fit in the mean square. What is
//! left of it is at most 1e-4 of the greatest stress on the line, in any stress field; the
//! K of pull, pressure and fields that fade within a fifth of the radius are met to 1.3e-5.
//! The first row is the edge crack of a half plane, the limit of a crack
//! that is short beside the hole: it gives 1.1215 and 0.6829 for uniform
//! and linearly rising stress, the classical values. `tests/fatigue/dislocations.rs` holds the
//! solution itself and fits rows anew.
//!
//! Floor 6, `fatigue`.

use crate::fatigue::crack::CrackSides;

/// Longest tabulated crack over the hole radius.
pub const LONGEST: f64 = 20.0;

/// Terms of the weight function beyond the first.
pub(crate) const TERMS: usize = 6;

/// Crack length over radius, then the coefficients `M₁` to `M₆`.
type Row = [f64; TERMS + 1];

const TWO: [Row; 27] = [
    [0.000, 0.56926, 0.23440, 0.14124, -0.19027, 0.28394, -0.20533],
    [0.010, 0.54423, 0.23920, 0.08919, -0.07040, 0.16178, -0.15904],
    [0.020, 0.52140, 0.23369, 0.09303, -0.08092, 0.17594, -0.16515],
    [0.035, 0.48994, 0.22542, 0.09887, -0.09686, 0.19735, -0.17431],
    [0.050, 0.46148, 0.21718, 0.10485, -0.11317, 0.21912, -0.18353],
    [0.070, 0.42765, 0.20631, 0.11304, -0.13556, 0.24874, -0.19592],
    [0.100, 0.38440, 0.19045, 0.12553, -0.17000, 0.29380, -0.21447],
    [0.140, 0.33804, 0.17038, 0.14233, -0.21702, 0.35435, -0.23887],
    [0.200, 0.28652, 0.14304, 0.16724, -0.28832, 0.44403, -0.27404],
    [0.250, 0.25549, 0.12290, 0.18737, -0.34707, 0.51609, -0.30149],
    [0.300, 0.23216, 0.10509, 0.20668, -0.40418, 0.58455, -0.32693],
    [0.400, 0.20118, 0.07572, 0.24237, -0.51073, 0.70810, -0.37115],
    [0.500, 0.18334, 0.05330, 0.27372, -0.60432, 0.81197, -0.40646],
    [0.600, 0.17315, 0.03628, 0.30057, -0.68370, 0.89629, -0.43350],
    [0.750, 0.16589, 0.01818, 0.33282, -0.77705, 0.99003, -0.46102],
    [1.000, 0.16380, 0.00071, 0.36851, -0.87585, 1.07921, -0.48176],
    [1.250, 0.16651, -0.00774, 0.38773, -0.92496, 1.11382, -0.48334],
    [1.500, 0.17072, -0.01138, 0.39612, -0.94304, 1.11648, -0.47443],
    [2.000, 0.17967, -0.01138, 0.39302, -0.92548, 1.06929, -0.44038],
    [2.500, 0.18762, -0.00653, 0.37337, -0.86580, 0.98254, -0.39480],
    [3.000, 0.19422, 0.00072, 0.34364, -0.78215, 0.87478, -0.34391],
    [4.000, 0.20414, 0.01771, 0.27162, -0.58893, 0.64343, -0.24239],
    [5.000, 0.21102, 0.03399, 0.20153, -0.40696, 0.43604, -0.15597],
    [7.000, 0.21986, 0.05844, 0.09826, -0.14536, 0.14938, -0.04122],
    [10.000, 0.22739, 0.07780, 0.02366, 0.03997, -0.04467, 0.03314],
    [14.000, 0.23304, 0.08779, -0.00548, 0.11222, -0.11473, 0.05822],
    [20.000, 0.23772, 0.09199, -0.00701, 0.11795, -0.11468, 0.05659],
];

const ONE: [Row; 27] = [
    [0.000, 0.56926, 0.23440, 0.14124, -0.19027, 0.28394, -0.20533],
    [0.010, 0.54398, 0.23924, 0.08917, -0.07038, 0.16174, -0.15903],
    [0.020, 0.52047, 0.23382, 0.09297, -0.08083, 0.17581, -0.16512],
    [0.035, 0.48724, 0.22579, 0.09871, -0.09659, 0.19698, -0.17422],
    [0.050, 0.45627, 0.21786, 0.10456, -0.11267, 0.21843, -0.18335],
    [0.070, 0.41812, 0.20746, 0.11258, -0.13469, 0.24757, -0.19564],
    [0.100, 0.36682, 0.19232, 0.12485, -0.16852, 0.29188, -0.21408],
    [0.140, 0.30770, 0.17307, 0.14152, -0.21483, 0.35163, -0.23850],
    [0.200, 0.23466, 0.14631, 0.16669, -0.28568, 0.44118, -0.27426],
    [0.250, 0.18483, 0.12595, 0.18748, -0.34494, 0.51445, -0.30281],
    [0.300, 0.14269, 0.10724, 0.20786, -0.40354, 0.58550, -0.32991],
    [0.400, 0.07552, 0.07438, 0.24669, -0.51621, 0.71834, -0.37900],
    [0.500, 0.02447, 0.04678, 0.28215, -0.61975, 0.83599, -0.42061],
    [0.600, -0.01562, 0.02357, 0.31359, -0.71179, 0.93672, -0.45453],
    [0.750, -0.06200, -0.00452, 0.35253, -0.82591, 1.05542, -0.49152],
    [1.000, -0.11686, -0.03783, 0.39535, -0.95226, 1.17318, -0.52079],
    [1.250, -0.15568, -0.05918, 0.41329, -1.00823, 1.20848, -0.51856],
    [1.500, -0.18528, -0.07238, 0.41124, -1.00933, 1.18327, -0.49459],
    [2.000, -0.22882, -0.08374, 0.36716, -0.90547, 1.02412, -0.41091],
    [2.500, -0.26039, -0.08425, 0.29569, -0.73221, 0.80227, -0.31085],
    [3.000, -0.28490, -0.08009, 0.21693, -0.54267, 0.57442, -0.21458],
    [4.000, -0.32109, -0.06879, 0.07486, -0.20793, 0.19122, -0.06189],
    [5.000, -0.34676, -0.06025, -0.02707, 0.02312, -0.06106, 0.03154],
    [7.000, -0.38073, -0.05657, -0.11813, 0.20650, -0.24315, 0.08422],
    [10.000, -0.40971, -0.07382, -0.08282, 0.07106, -0.06300, -0.01592],
    [14.000, -0.43028, -0.11378, 0.09463, -0.40761, 0.49307, -0.26715],
    [20.000, -0.44548, -0.17997, 0.42720, -1.26163, 1.45945, -0.68435],
];

/// `M₁` to `M₆` for crack length over radius `ratio`, held at the last row beyond it.
///
/// Between rows a cubic through four of them, in `ratio/(1 + ratio)`: towards a short crack the
/// coefficients are a plain series in the ratio, towards a long one in its inverse.
pub(crate) fn coefficients(sides: CrackSides, ratio: f64) -> [f64; TERMS] {
    let rows = match sides {
        CrackSides::One => &ONE,
        CrackSides::Two => &TWO,
    };
    let place = |ratio: f64| ratio / (1.0 + ratio);
    let upper = rows.partition_point(|row| row[0] <= ratio);
    let first = upper.saturating_sub(2).min(rows.len() - 4);
    let (near, here) = (&rows[first..first + 4], place(ratio.min(LONGEST)));
    let mut found = [0.0; TERMS];
    for (k, row) in near.iter().enumerate() {
        let others = near.iter().enumerate().filter(|(other, _)| *other != k);
        let share: f64 = others
            .map(|(_, other)| (here - place(other[0])) / (place(row[0]) - place(other[0])))
            .product();
        for (sum, value) in found.iter_mut().zip(&row[1..]) {
            *sum += share * value;
        }
    }
    found
}
