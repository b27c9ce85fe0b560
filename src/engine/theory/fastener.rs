//! Flexibility of a fastener: how far two sheets move on each other by newton that it carries.
//!
//! Empirical formulas for metal sheets, each fitted to tests of its authors' joints; they differ by a factor of
//! two. Lengths in mm, moduli in MPa, flexibility in mm/N. `plate` is the sheet in the middle of a joint in
//! double shear, and `sheet` one of the two outer ones.

use std::f64::consts::PI;

/// A formula by its authors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Formula {
    /// H. Huth, bolts in metal sheets.
    HuthBolt,
    /// H. Huth, rivets in metal sheets.
    HuthRivet,
    /// T. Swift, rivets of aluminium.
    Swift,
    /// M. B. Tate and S. J. Rosenfeld, bolts in double shear.
    TateRosenfeld,
}

/// A sheet as a fastener sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// Thickness, mm.
    pub thickness: f64,
    /// Young's modulus, MPa.
    pub modulus: f64,
}

/// A fastener through a plate and one sheet, or one sheet on either face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shank {
    /// Diameter, mm.
    pub diameter: f64,
    /// Young's modulus, MPa.
    pub modulus: f64,
    /// Poisson's ratio.
    pub poissons_ratio: f64,
    /// Sections of the shank that shear: 1 or 2.
    pub shears: u8,
}

impl Formula {
    /// Names in a case file, in the order of [`Self::ALL`].
    pub const NAMES: [&'static str; 4] = ["huth-bolt", "huth-rivet", "swift", "tate-rosenfeld"];
    /// All of them.
    pub const ALL: [Self; 4] = [Self::HuthBolt, Self::HuthRivet, Self::Swift, Self::TateRosenfeld];

    /// The formula called `name`.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::NAMES.iter().position(|known| *known == name).map(|at| Self::ALL[at])
    }

    /// Whether it speaks of double shear alone.
    #[must_use]
    pub fn is_double_shear(self) -> bool {
        self == Self::TateRosenfeld
    }

    /// Flexibility of a fastener in double or single shear, mm/N. Where the holes give way in the model
    /// (`holes_are_modelled`), a formula that tells what the sheets give way leaves it out.
    ///
    /// Sources:
    /// - H. Huth, report FB-172, Darmstadt (1984), and ASTM STP 927 (1986) 221–250:
    ///   `((t₁+t₂)/2d)^a (b/n) (1/(t₁E₁) + 1/(n t₂E₂) + 1/(2 t₁E₃) + 1/(2 n t₂E₃))`, bolts `a = 2/3, b = 3`,
    ///   rivets `a = 2/5, b = 2.2`, `n` sections that shear.
    /// - T. Swift, ASTM STP 486 (1971) 164–214: `5/(d E₃) + 0.8 (1/(t₁E₁) + 1/(t₂E₂))`, single shear; in double shear
    ///   taken for each of two halves of the plate.
    /// - M. B. Tate, S. J. Rosenfeld, NACA TN 1051 (1946):
    ///   `(2t₂+t₁)/(3 G₃A) + (8t₂³+16t₂²t₁+8t₂t₁²+t₁³)/(192 E₃I) + (2t₂+t₁)/(t₂t₁E₃) + 1/(t₂E₂) + 2/(t₁E₁)`
    ///   (from memory).
    #[must_use]
    pub fn flexibility(
        self,
        plate: Sheet,
        sheet: Sheet,
        shank: Shank,
        holes_are_modelled: bool,
    ) -> f64 {
        let (t1, e1) = (plate.thickness, plate.modulus);
        let (t2, e2) = (sheet.thickness, sheet.modulus);
        let (d, e3) = (shank.diameter, shank.modulus);
        let n = f64::from(shank.shears);
        match self {
            Self::HuthBolt | Self::HuthRivet => {
                let (a, b) = if self == Self::HuthBolt { (2.0 / 3.0, 3.0) } else { (0.4, 2.2) };
                let metal = 1.0 / (t1 * e1) + 1.0 / (n * t2 * e2);
                let pin = 0.5 / (t1 * e3) + 0.5 / (n * t2 * e3);
                ((t1 + t2) / (2.0 * d)).powf(a) * b / n * (metal + pin)
            }
            Self::Swift => {
                let half = t1 / n;
                (5.0 / (d * e3) + 0.8 * (1.0 / (half * e1) + 1.0 / (t2 * e2))) / n
            }
            Self::TateRosenfeld => {
                let shear_modulus = e3 / (2.0 * (1.0 + shank.poissons_ratio));
                let (area, inertia) = (0.25 * PI * d * d, PI * d.powi(4) / 64.0);
                let bending =
                    8.0 * t2.powi(3) + 16.0 * t2 * t2 * t1 + 8.0 * t2 * t1 * t1 + t1.powi(3);
                let shank = (2.0 * t2 + t1) / (3.0 * shear_modulus * area)
                    + bending / (192.0 * e3 * inertia)
                    + (2.0 * t2 + t1) / (t2 * t1 * e3);
                let holes = 1.0 / (t2 * e2) + 2.0 / (t1 * e1);
                if holes_are_modelled { shank } else { shank + holes }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    const SHEET: Sheet = Sheet { thickness: 2.0, modulus: 70_000.0 };

    fn steel(shears: u8) -> Shank {
        Shank { diameter: 5.0, modulus: 210_000.0, poissons_ratio: 0.3, shears }
    }

    /// By hand: (4/10)^(2/3) · 3 · (1/140000 + 1/140000 + 1/840000 + 1/840000) = 0.5429 · 3 · 1.6667e-5.
    #[test]
    fn a_bolt_in_single_shear_by_hand() {
        let found = Formula::HuthBolt.flexibility(SHEET, SHEET, steel(1), false);
        assert_relative_eq!(found, 2.7144e-5, max_relative = 1e-4);
    }

    /// Swift's published form for one metal throughout is `(5 + 0.8 (d/t₁ + d/t₂))/(E d)`.
    #[test]
    fn swifts_formula_is_that_of_one_metal() {
        let rivet = Shank { diameter: 4.0, modulus: 70_000.0, poissons_ratio: 0.33, shears: 1 };
        let found = Formula::Swift.flexibility(SHEET, SHEET, rivet, false);
        let exact = (5.0 + 0.8 * (4.0 / 2.0 + 4.0 / 2.0)) / (70_000.0 * 4.0);
        assert_relative_eq!(found, exact, max_relative = 1e-12);
    }

    /// Two sections that shear make a stiffer joint, in every formula, and what holes give way is positive.
    #[test]
    fn double_shear_is_stiffer_and_holes_give_way() {
        for formula in Formula::ALL {
            let double = formula.flexibility(SHEET, SHEET, steel(2), false);
            if !formula.is_double_shear() {
                assert!(double < formula.flexibility(SHEET, SHEET, steel(1), false));
            }
            assert!(formula.flexibility(SHEET, SHEET, steel(2), true) <= double);
            assert!((1e-6..1e-4).contains(&double), "{formula:?}: {double}");
        }
    }
}
