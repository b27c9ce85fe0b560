//! The faces of tools: gap, normal and curvature that a point of the metal sees.
//!
//! Every tool is a rigid body that moves without turning. Its pose is the displacement of its
//! reference point and a radius; a [`Surface`] says how a point stands to it. Normals point from the
//! tool into the metal, gaps are positive outside.

use serde::{Deserialize, Serialize};

use crate::geometry::mandrel::MandrelProfile;

/// The face of a tool.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Surface {
    /// A circle about the reference point: mandrel or pin in a plane, or a ball on the axis of a
    /// section.
    #[default]
    Circle,
    /// A cylinder about the axis of a section, without ends: a tool that grows evenly.
    Cylinder,
    /// A mandrel drawn along the axis of a section, its land at the tool's radius.
    Mandrel {
        /// Its shape.
        profile: MandrelProfile,
        /// Whether it is drawn towards falling `z`, from the exit face to the entry face.
        backwards: bool,
    },
    /// A flat face through the reference point.
    Flat {
        /// Its unit normal, out of the tool.
        normal: [f64; 2],
    },
}

/// Where a point stands to a tool.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Unit normal of the nearest place on the tool.
    pub normal: [f64; 2],
    /// Distance along it, mm; negative inside the tool.
    pub gap: f64,
    /// Distance from the centre of curvature of that place, mm; infinite where it is straight.
    pub arm: f64,
    /// Motion of that place along the normal per unit growth of the radius.
    pub growth: f64,
}

impl Surface {
    /// Stance of a point at `from_reference` mm from the displaced reference point of a tool of
    /// `radius` mm.
    #[must_use]
    pub fn stance(&self, [x, y]: [f64; 2], radius: f64) -> Stance {
        match *self {
            Self::Circle => {
                let distance = x.hypot(y);
                let normal = [x / distance, y / distance];
                Stance { normal, gap: distance - radius, arm: distance, growth: 1.0 }
            }
            Self::Cylinder => {
                Stance { normal: [1.0, 0.0], gap: x - radius, arm: f64::INFINITY, growth: 1.0 }
            }
            Self::Mandrel { profile, backwards } => {
                let sense = if backwards { -1.0 } else { 1.0 };
                let nearest = profile.nearest([x - radius, sense * y]);
                Stance {
                    normal: [nearest.normal[0], sense * nearest.normal[1]],
                    gap: nearest.gap,
                    arm: nearest.radius,
                    growth: nearest.normal[0],
                }
            }
            Self::Flat { normal } => Stance {
                normal,
                gap: x * normal[0] + y * normal[1],
                arm: f64::INFINITY,
                growth: 0.0,
            },
        }
    }
}

impl Stance {
    /// Unit tangent: the normal turned by a quarter turn.
    #[must_use]
    pub fn tangent(&self) -> [f64; 2] {
        [-self.normal[1], self.normal[0]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_gap_changes_as_normal_and_growth_say() {
        let profile = MandrelProfile::default();
        let surfaces = [
            Surface::Circle,
            Surface::Cylinder,
            Surface::Mandrel { profile, backwards: false },
            Surface::Mandrel { profile, backwards: true },
            Surface::Flat { normal: [0.6, -0.8] },
        ];
        let step = 1e-6;
        for surface in surfaces {
            for at in [[3.1, 0.4], [2.9, -4.5], [3.0, 2.0], [3.05, 0.02]] {
                let gap = |[x, y]: [f64; 2], radius: f64| surface.stance([x, y], radius).gap;
                let here = surface.stance(at, 3.0);
                for axis in 0..2 {
                    let (mut below, mut above) = (at, at);
                    below[axis] -= step;
                    above[axis] += step;
                    let slope = (gap(above, 3.0) - gap(below, 3.0)) / (2.0 * step);
                    assert_relative_eq!(slope, here.normal[axis], epsilon = 1e-8);
                }
                let grown = (gap(at, 3.0 + step) - gap(at, 3.0 - step)) / (2.0 * step);
                assert_relative_eq!(grown, -here.growth, epsilon = 1e-8);
            }
        }
    }
}
