//! The drawn profile of a mandrel: lead taper, land, trail taper, and the fillets between.
//!
//! ```text
//!    r ▲        ______________
//!      │     .-'     land     '-.
//!      │  .-'                    '-.
//!      │-'  trail                lead '-.
//!      └────────────────────────────────► s      drawn this way
//!               −L             0
//! ```
//!
//! The profile is a curve of straight lines and arcs in `(r, s)`, with one tangent everywhere.
//! `s` runs along the axis in the direction of the draw and is 0 where the lead taper and the land
//! would meet without a fillet. Radii are counted from the surface of the land. The tool is convex,
//! so every point outside it has one nearest point on it.

use serde::{Deserialize, Serialize};

/// Shape of a mandrel. Lengths in mm, angles in radians.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct MandrelProfile {
    /// Half angle of the taper that opens the hole, positive and below a right angle.
    pub lead_angle: f64,
    /// Length of the land at the major diameter, between the tapers without their fillets.
    pub land: f64,
    /// Half angle of the taper behind the land, positive and below a right angle.
    pub trail_angle: f64,
    /// Radius of the fillets between land and tapers, positive.
    pub fillet: f64,
}

/// The point of a profile nearest to a given point, and how it stands to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Nearest {
    /// Outward unit normal `[along r, along s]`.
    pub normal: [f64; 2],
    /// Distance along the normal, mm; negative inside the tool.
    pub gap: f64,
    /// Distance to the centre of curvature, mm; infinite at a straight line.
    pub radius: f64,
}

impl Default for MandrelProfile {
    /// A shape as the trade uses it (common practice, no source): half angles of 2° and 4°, a short
    /// land, fillets of 10 mm.
    fn default() -> Self {
        Self {
            lead_angle: 2.0_f64.to_radians(),
            land: 3.0,
            trail_angle: 4.0_f64.to_radians(),
            fillet: 10.0,
        }
    }
}

impl MandrelProfile {
    /// Length of the land that the fillet towards a taper takes away, mm.
    fn cut_off(&self, angle: f64) -> f64 {
        self.fillet * (0.5 * angle).tan()
    }

    /// Length of the land that is left between the fillets, mm; negative when they do not fit.
    #[must_use]
    pub fn straight_land(&self) -> f64 {
        self.land - self.cut_off(self.lead_angle) - self.cut_off(self.trail_angle)
    }

    /// Where on the axis the lead taper is `drop` mm below the land, counted from where it begins.
    #[must_use]
    pub(crate) fn lead_reach(&self, drop: f64) -> f64 {
        drop / self.lead_angle.tan()
    }

    /// Length of the tool behind the land after which the trail taper is `drop` mm below it.
    #[must_use]
    pub(crate) fn trail_reach(&self, drop: f64) -> f64 {
        drop / self.trail_angle.tan()
    }

    /// Largest axial position at which the profile is less than `drop` mm below the land, and the
    /// smallest one, mm: how far the tool reaches ahead and behind at that depth.
    ///
    /// Fillets cut into the tool, so the straight tapers are an upper bound of what it fills.
    #[must_use]
    pub fn reach(&self, drop: f64) -> [f64; 2] {
        [-self.land - self.trail_reach(drop), self.lead_reach(drop)]
    }

    /// The nearest point to `(r, s)`, where `r` counts from the surface of the land, mm.
    #[must_use]
    pub fn nearest(&self, [r, s]: [f64; 2]) -> Nearest {
        // Seen from the middle of the land both halves look alike.
        let middle = -0.5 * self.land;
        let ahead = s >= middle;
        let (angle, along) =
            if ahead { (self.lead_angle, s - middle) } else { (self.trail_angle, middle - s) };
        let Nearest { normal: [nr, ns], gap, radius } = self.half([r, along], angle);
        Nearest { normal: [nr, if ahead { ns } else { -ns }], gap, radius }
    }

    /// The same in the half of the tool whose taper has `angle`; `s` counts from the middle of the
    /// land outward.
    fn half(&self, [r, s]: [f64; 2], angle: f64) -> Nearest {
        let (sine, cosine) = angle.sin_cos();
        let corner = 0.5 * self.land;
        let start = corner - self.cut_off(angle);
        if s <= start {
            return Nearest { normal: [1.0, 0.0], gap: r, radius: f64::INFINITY };
        }
        // The centre of the fillet lies below the end of the straight land.
        let (up, out) = (r + self.fillet, s - start);
        if out * cosine <= up * sine {
            let distance = up.hypot(out);
            let normal = [up / distance, out / distance];
            return Nearest { normal, gap: distance - self.fillet, radius: distance };
        }
        let gap = r * cosine + (s - corner) * sine;
        Nearest { normal: [cosine, sine], gap, radius: f64::INFINITY }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    const PROFILE: MandrelProfile =
        MandrelProfile { lead_angle: 0.05, land: 3.0, trail_angle: 0.1, fillet: 10.0 };

    #[test]
    fn distance_and_normal_are_continuous_along_the_profile() {
        // A point that runs along outside the tool: the normal turns by step over radius at most.
        let step = 1e-4;
        let mut before = PROFILE.nearest([0.3, -20.0]);
        for k in 1..400_000_u32 {
            let now = PROFILE.nearest([0.3, -20.0 + step * f64::from(k)]);
            assert!((now.gap - before.gap).abs() <= 1.001 * step);
            let turned = (now.normal[1] - before.normal[1]).abs();
            assert!(turned <= 1.001 * step / PROFILE.fillet, "{turned} at {k}");
            before = now;
        }
    }

    #[test]
    fn the_gap_falls_along_the_normal_and_not_across_it() {
        let step = 1e-6;
        for k in 0..200_u32 {
            let at = [0.2, -8.0 + 0.06 * f64::from(k)];
            let here = PROFILE.nearest(at);
            let [nr, ns] = here.normal;
            let moved = |along: [f64; 2]| {
                PROFILE.nearest([at[0] + step * along[0], at[1] + step * along[1]]).gap
            };
            assert_relative_eq!((moved([nr, ns]) - here.gap) / step, 1.0, epsilon = 1e-6);
            assert_abs_diff_eq!((moved([-ns, nr]) - here.gap) / step, 0.0, epsilon = 1e-6);
            assert_relative_eq!(nr.hypot(ns), 1.0, epsilon = 1e-14);
        }
    }

    #[test]
    fn land_and_tapers_lie_where_the_drawing_has_them() {
        let on_land = PROFILE.nearest([0.01, -1.4]);
        assert_eq!(on_land.normal.map(f64::to_bits), [1.0_f64, 0.0].map(f64::to_bits));
        assert_relative_eq!(on_land.gap, 0.01);
        let far = 20.0;
        let on_lead = PROFILE.nearest([-far * 0.05_f64.tan(), far]);
        assert_abs_diff_eq!(on_lead.gap, 0.0, epsilon = 1e-13);
        assert!(on_lead.normal[1] > 0.0);
        let on_trail = PROFILE.nearest([-far * 0.1_f64.tan(), -3.0 - far]);
        assert_abs_diff_eq!(on_trail.gap, 0.0, epsilon = 1e-13);
        assert!(on_trail.normal[1] < 0.0);
        assert_relative_eq!(
            PROFILE.straight_land(),
            3.0 - 10.0 * (0.025_f64.tan() + 0.05_f64.tan())
        );
    }
}
