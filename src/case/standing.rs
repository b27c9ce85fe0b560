//! Size of a hole after the stages so far, as far as it can be told without a run.

use crate::case::border::Border;
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};
use crate::geometry::hole::Hole;
use crate::material::hardening::Material;
use crate::material::idealisation::Idealisation;
use crate::process::tool::Tool;

/// A hole between two stages. Lengths in mm.
#[derive(Clone, Debug)]
pub(super) struct Standing {
    /// Diameter drilled or last reamed.
    pub(super) nominal: f64,
    /// Diameter that it has at least now; larger than `nominal` after an expansion.
    pub(super) least: f64,
    /// Axis of the last cut.
    pub(super) axis: [f64; 2],
    /// Deviation from roundness while neither tool nor cutter has made it round.
    pub(super) uneven: f64,
    /// Whether a pin is in it.
    pub(super) fastened: bool,
}

impl Standing {
    /// A hole before all work.
    pub(super) fn drilled(hole: &Hole) -> Self {
        Self {
            nominal: hole.starting_diameter,
            least: hole.starting_diameter,
            axis: hole.centre,
            uneven: hole.out_of_round.map_or(0.0, |shape| shape.deviation),
            fastened: false,
        }
    }

    fn shift_to(&self, axis: [f64; 2]) -> f64 {
        (axis[0] - self.axis[0]).hypot(axis[1] - self.axis[1])
    }

    /// Takes an expansion into account.
    pub(super) fn expand(&mut self, tool: &Tool, material: &Material, idealisation: Idealisation) {
        let applied = tool.applied_expansion(self.nominal);
        let back = recovery(applied, tool, material, idealisation);
        self.least = self.least.max(self.nominal * (1.0 + applied - back));
        self.uneven = 0.0;
    }

    /// Whether a cutter of `diameter` (mm) about `axis` takes metal away all round.
    pub(super) fn check_ream(
        &self,
        table: &Table<'_>,
        written: &Valued<f64>,
        diameter: f64,
        axis: [f64; 2],
        hole: &str,
        border: Border,
    ) -> Result<(), Complaint> {
        let missed = self.uneven + 2.0 * self.shift_to(axis);
        let cutter = border.show_length(diameter);
        let problem = if diameter <= self.nominal {
            format!(
                "the ream of {cutter} is no larger than hole `{hole}` at {}",
                border.show_length(self.nominal)
            )
        } else if diameter <= self.least {
            format!(
                "the ream of {cutter} is no larger than hole `{hole}` after its expansion, which \
                 leaves at least {}",
                border.show_length(self.least)
            )
        } else if diameter <= self.least + missed {
            let off = self.shift_to(axis);
            let why = if off > 0.0 {
                format!("{} off the axis", border.show_length(off))
            } else {
                format!("in a hole {} out of round", border.show_length(self.uneven))
            };
            format!("the ream of {cutter}, {why}, misses part of the edge of hole `{hole}`")
        } else {
            return Ok(());
        };
        let enough = border.show_least(self.least + missed);
        let remedy = format!("to clean up all round, the diameter must be larger than {enough}");
        Err(table.about(written, Kind::Sequence, problem, remedy))
    }
}

/// Closing of the hole over its elastic closing, at most.
///
/// The edge yields in reverse while the tool leaves, and the hole closes further. Two runs of
/// an independent radial code (plane stress, isotropic hardening, 4 %) closed 1.02 and 1.05
/// times the elastic amount. With all hardening kinematic the way back is the way out at
/// twice the scale (G. Masing, 1926, from memory), which for the first of them gives 1.18.
const REVERSE_YIELDING: f64 = 1.25;

/// Share of the diameter that springs back at most when the tool leaves, dimensionless.
///
/// The hole of an infinite sheet, unloaded elastically from pressure P, closes by
/// `(1+ν) P/E` (Lamé; any strength-of-materials text). P is at most
/// `(2/√3) σ` in plane stress (A. Nádai, Plasticity, 1931) and about
/// `(2/√3) σ (½ + ln(c/a))` in plane strain, with `c/a` from the displacement
/// `(1−ν²)(2/√3) σ c²/(E a)` (R. Hill, The Mathematical Theory of Plasticity, 1950,
/// ch. V). σ is the flow stress of a first pull at `p = 2 ×` the applied expansion, more than
/// the edge strains. An elastic mandrel of modulus Eₘ was squeezed by `(1−νₘ) P/Eₘ` on top.
fn recovery(applied: f64, tool: &Tool, material: &Material, idealisation: Idealisation) -> f64 {
    let (modulus, nu) = (material.elasticity.youngs_modulus, material.elasticity.poissons_ratio);
    let flow = 2.0 / 3.0_f64.sqrt() * material.monotonic_stress(2.0 * applied);
    let pressure = match idealisation {
        Idealisation::PlaneStress => flow,
        Idealisation::PlaneStrain
        | Idealisation::GeneralisedPlaneStrain
        | Idealisation::Axisymmetric => {
            let spread = applied * modulus / ((1.0 - nu * nu) * flow);
            flow * (0.5 + 0.5 * spread.max(1.0).ln()).max(1.0)
        }
    };
    let squeezed = tool.elastic.map_or(0.0, |(mandrel, ratio)| (1.0 - ratio) * pressure / mandrel);
    REVERSE_YIELDING * (1.0 + nu) * pressure / modulus + squeezed
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::elasticity::Elasticity;
    use crate::material::hardening::Isotropic;
    use crate::process::tool::Centre;

    #[test]
    fn the_least_diameter_lies_below_a_computed_retained_one() {
        // Retained expansion after 4 % applied, by an independent radial code: plane stress, rigid
        // tool, isotropic hardening, Ramberg–Osgood. (E, F0.2, n, retained); ν 0.33.
        for (modulus, offset, exponent, computed) in
            [(72_000.0, 350.0, 10.0, 0.0290), (71_000.0, 500.0, 20.0, 0.0263)]
        {
            let metal = Material {
                elasticity: Elasticity { youngs_modulus: modulus, poissons_ratio: 0.33 },
                yield_stress: offset,
                isotropic: Isotropic::RambergOsgood { exponent },
                kinematic: vec![],
            };
            let tool = Tool {
                mandrel_diameter: 10.4,
                sleeve_thickness: 0.0,
                split: None,
                elastic: None,
                centre: Centre::Floating,
                offset: [0.0; 2],
            };
            let hole = Hole::round("", [0.0; 2], 10.0);
            let mut standing = Standing::drilled(&hole);
            standing.expand(&tool, &metal, Idealisation::PlaneStress);
            let retained = standing.least / 10.0 - 1.0;
            // Below, but by no more than the allowance for reverse yielding.
            assert!(retained < computed && retained > computed - 0.004, "{retained}");
        }
    }
}
