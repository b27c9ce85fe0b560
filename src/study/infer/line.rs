//! Lines from a hole on which the hoop stress is read: paths of the plane model, depths of a section.

use crate::numeric::profile::Profile;
use crate::result::measured::Level;
use crate::result::path::StressPath;

/// Where a line runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Way {
    /// A path of the plane model in this direction, degrees from +x.
    Direction(f64),
    /// At this share of the thickness from the entry face; `None` for the mean over the thickness.
    Depth(Option<f64>),
}

impl Way {
    /// The direction of a path of the plane model, degrees; `None` for a depth.
    #[must_use]
    pub fn angle_deg(self) -> Option<f64> {
        match self {
            Self::Direction(angle) => Some(angle),
            Self::Depth(_) => None,
        }
    }

    /// The model that a measurement on it is compared with.
    #[must_use]
    pub fn level(self) -> Level {
        match self {
            Self::Direction(_) => Level::Plane,
            Self::Depth(share) => Level::of(share),
        }
    }

    /// In words: `90°`, `25 % of the depth`, `entry face`.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Self::Direction(angle) => format!("{angle:.0}°"),
            Self::Depth(share) => Level::of(share).words(),
        }
    }

    /// The same for the name of a file.
    #[must_use]
    pub fn slug(self) -> String {
        match self {
            Self::Direction(angle) => format!("{angle:.0}"),
            Self::Depth(None) => "mean".to_owned(),
            Self::Depth(Some(share)) => format!("depth-{:.0}", 100.0 * share),
        }
    }
}

/// A line from the edge of a hole, with the hoop stress along it.
#[derive(Clone, Debug)]
pub struct Line {
    /// Name of the hole.
    pub hole: String,
    /// Where it runs.
    pub way: Way,
    /// Radius of the hole as drilled, mm.
    pub radius: f64,
    /// Hoop stress in MPa against the distance in mm.
    pub hoop: Profile,
}

impl Line {
    /// A path of the plane model from a hole of `radius` mm.
    #[must_use]
    pub fn of(path: &StressPath, radius: f64) -> Self {
        let way = Way::Direction(path.angle_deg);
        Self { hole: path.hole.clone(), way, radius, hoop: path.hoop() }
    }
}
