//! A strain gauge on the face of the plate: where it is bonded and what it read.

/// Direction of the grid of a gauge at its place beside a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GridDirection {
    /// Along the path, away from the hole.
    Radial,
    /// Across the path, round the hole.
    Hoop,
}

impl GridDirection {
    /// Every name a case file may use.
    pub const NAMES: [&'static str; 2] = ["radial", "hoop"];

    /// The direction called `name` in a case file.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "radial" => Some(Self::Radial),
            "hoop" => Some(Self::Hoop),
            _ => None,
        }
    }

    /// Its name in a case file.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Radial => Self::NAMES[0],
            Self::Hoop => Self::NAMES[1],
        }
    }
}

/// One reading of one gauge.
///
/// The grid is a straight line of drawn metal, `length` long, with its middle `distance` from the edge of
/// the hole as drilled. It reads the change of its length, over its length when it was bonded.
#[derive(Clone, Debug, PartialEq)]
pub struct Gauge {
    /// Its name.
    pub label: String,
    /// Index of the hole it is placed from.
    pub hole: usize,
    /// Distance of the middle of the grid from the edge of the hole as drilled, mm, in the part as drawn.
    pub distance: f64,
    /// Direction of its place from the middle of the hole, degrees from +x.
    pub angle_deg: f64,
    /// Direction of the grid.
    pub direction: GridDirection,
    /// Length of the grid, mm.
    pub length: f64,
    /// Stage it was bonded after; before the work when `None`.
    pub bonded_after: Option<String>,
    /// State it was read in: `1-expand-A`, or `1-expand-A-full` with the tool at full size.
    pub read_at: String,
    /// Reading, a strain: 0.001 is 1000 microstrain. Positive when the grid grows longer.
    pub strain: f64,
    /// Standard error of the reading, a strain.
    pub plus_minus: f64,
}

impl Gauge {
    /// Ends of its grid, mm, in the part as drawn, beside a hole with this `centre` and `radius`.
    #[must_use]
    pub fn ends(&self, centre: [f64; 2], radius: f64) -> [[f64; 2]; 2] {
        let (sine, cosine) = self.angle_deg.to_radians().sin_cos();
        let along = match self.direction {
            GridDirection::Radial => [cosine, sine],
            GridDirection::Hoop => [-sine, cosine],
        };
        let reach = radius + self.distance;
        let middle = [centre[0] + reach * cosine, centre[1] + reach * sine];
        [-0.5, 0.5].map(|share| {
            let by = share * self.length;
            [middle[0] + by * along[0], middle[1] + by * along[1]]
        })
    }
}
