//! The constants of a metal one by one: by name, read, changed, and the sensitivity of the yield stress to each.

use crate::material::hardening::{Hardening, Isotropic, Material};
use crate::material::law::{OFFSET, RAMBERG_OSGOOD_START};

/// One constant of a metal. Terms are counted from 0, in names from 1.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Constant {
    /// Young's modulus, MPa.
    YoungsModulus,
    /// Initial yield stress, MPa; of a power law the 0.2 % offset stress.
    YieldStress,
    /// Slope `h` of a linear law or beside saturating terms, MPa.
    Slope,
    /// Rise to saturation `Q` of a term, MPa.
    Saturation(usize),
    /// Rate `b` of a term.
    Rate(usize),
    /// Exponent `n` of a power law.
    Exponent,
    /// Stress of a point of a tabulated curve, MPa.
    PointStress(usize),
    /// Modulus `C` of a backstress term, MPa.
    Modulus(usize),
    /// Recall `γ` of a backstress term.
    Recall(usize),
}

impl Constant {
    /// All constants of `material`, in the order of its `[material]` table.
    #[must_use]
    pub fn all(material: &Material) -> Vec<Self> {
        let mut all = vec![Self::YoungsModulus];
        if !matches!(material.isotropic, Isotropic::Table { .. }) {
            all.push(Self::YieldStress);
        }
        match &material.isotropic {
            Isotropic::None => {}
            Isotropic::Linear { .. } => all.push(Self::Slope),
            Isotropic::Voce { terms, slope } => {
                all.extend((0..terms.len()).flat_map(|k| [Self::Saturation(k), Self::Rate(k)]));
                if *slope != 0.0 {
                    all.push(Self::Slope);
                }
            }
            Isotropic::RambergOsgood { .. } => all.push(Self::Exponent),
            Isotropic::Table { points, .. } => all.extend((0..points.len()).map(Self::PointStress)),
        }
        all.extend((0..material.kinematic.len()).flat_map(|k| [Self::Modulus(k), Self::Recall(k)]));
        all
    }

    /// Its name, as `recall 2`.
    #[must_use]
    pub fn name(self) -> String {
        match self {
            Self::YoungsModulus => "youngs_modulus".to_owned(),
            Self::YieldStress => "yield_stress".to_owned(),
            Self::Slope => "slope".to_owned(),
            Self::Saturation(k) => format!("saturation {}", k + 1),
            Self::Rate(k) => format!("rate {}", k + 1),
            Self::Exponent => "exponent".to_owned(),
            Self::PointStress(k) => format!("point {}", k + 1),
            Self::Modulus(k) => format!("modulus {}", k + 1),
            Self::Recall(k) => format!("recall {}", k + 1),
        }
    }

    /// Whether it is a stress, in MPa; otherwise it has no unit.
    #[must_use]
    pub fn is_stress(self) -> bool {
        !matches!(self, Self::Rate(_) | Self::Exponent | Self::Recall(_))
    }

    /// Whether it belongs to the backstress.
    #[must_use]
    pub fn is_kinematic(self) -> bool {
        matches!(self, Self::Modulus(_) | Self::Recall(_))
    }

    /// Its place in `material`; `None` where the law has no such constant.
    fn place(self, material: &mut Material) -> Option<&mut f64> {
        match (self, &mut material.isotropic) {
            (Self::YoungsModulus, _) => Some(&mut material.elasticity.youngs_modulus),
            (Self::YieldStress, _) => Some(&mut material.yield_stress),
            (Self::Slope, Isotropic::Linear { slope } | Isotropic::Voce { slope, .. }) => {
                Some(slope)
            }
            (Self::Saturation(k), Isotropic::Voce { terms, .. }) => {
                terms.get_mut(k).map(|term| &mut term.saturation)
            }
            (Self::Rate(k), Isotropic::Voce { terms, .. }) => {
                terms.get_mut(k).map(|term| &mut term.rate)
            }
            (Self::Exponent, Isotropic::RambergOsgood { exponent }) => Some(exponent),
            (Self::PointStress(k), Isotropic::Table { points, .. }) => {
                points.get_mut(k).map(|point| &mut point[1])
            }
            (Self::Modulus(k), _) => material.kinematic.get_mut(k).map(|term| &mut term.modulus),
            (Self::Recall(k), _) => material.kinematic.get_mut(k).map(|term| &mut term.recall),
            _ => None,
        }
    }

    /// Its value; `None` where the law has no such constant.
    #[must_use]
    pub fn of(self, material: &Material) -> Option<f64> {
        self.place(&mut material.clone()).map(|place| *place)
    }

    /// Changes it; nothing happens where the law has no such constant.
    pub fn put(self, material: &mut Material, value: f64) {
        if let Some(place) = self.place(material) {
            *place = value;
        }
        // A tabulated curve begins with the yield stress.
        if let (Self::PointStress(0), Isotropic::Table { .. }) = (self, &material.isotropic) {
            material.yield_stress = value;
        }
    }

    /// `∂σ_y(p)/∂self` at a given equivalent plastic strain, per unit of the constant.
    #[must_use]
    pub fn slope_of_yield_stress(self, material: &Material, p: f64) -> f64 {
        match (self, &material.isotropic) {
            (Self::YieldStress, Isotropic::RambergOsgood { .. }) => {
                Hardening::yield_stress(material, p) / material.yield_stress
            }
            (Self::YieldStress, Isotropic::Table { .. }) => 0.0,
            (Self::YieldStress, _) => 1.0,
            (Self::Slope, Isotropic::Linear { .. } | Isotropic::Voce { .. }) => p,
            (Self::Saturation(k), Isotropic::Voce { terms, .. }) => {
                terms.get(k).map_or(0.0, |term| -(-term.rate * p).exp_m1())
            }
            (Self::Rate(k), Isotropic::Voce { terms, .. }) => {
                terms.get(k).map_or(0.0, |term| term.saturation * p * (-term.rate * p).exp())
            }
            (Self::Exponent, Isotropic::RambergOsgood { exponent }) => {
                let shifted = (p + RAMBERG_OSGOOD_START) / OFFSET;
                -Hardening::yield_stress(material, p) * shifted.ln() / (exponent * exponent)
            }
            (Self::PointStress(k), Isotropic::Table { points, .. }) => share_of_point(points, k, p),
            _ => 0.0,
        }
    }
}

/// Share of point `k` in the straight lines between `points` at `p`.
fn share_of_point(points: &[[f64; 2]], k: usize, p: f64) -> f64 {
    let right = points.partition_point(|point| point[0] <= p);
    let left = right.max(1) - 1;
    let Some(end) = points.get(right) else { return f64::from(u8::from(k == left)) };
    let share = (p - points[left][0]) / (end[0] - points[left][0]);
    if k == left {
        1.0 - share
    } else if k == right {
        share
    } else {
        0.0
    }
}
