//! Effect of a service load at the edges, path by path: reversals, mean and range, relaxation,
//! shakedown; the plain hole beside the worked one.

use serde::{Deserialize, Serialize};

use crate::element::edge as side;
use crate::geometry::hole::Hole;
use crate::process::job::Job;
use crate::process::program::Program;
use crate::process::service_history::{Mark, Period, ServiceHistory};
use crate::process::snapshot::Snapshot;
use crate::result::read::path_angles;

/// Growth of the equivalent plastic strain over a period, at every point, up to which the metal
/// counts as elastic: at 70 GPa a thousandth of it is not worth 0.1 MPa a thousand times.
pub const SHAKEN_DOWN: f64 = 1e-6;

/// A period that adds at least this share of what the one before added is no longer settling.
pub(crate) const SETTLING: f64 = 0.98;

/// The criterion in words, for reports.
pub const CRITERION: &str = "shakedown: the last cycle of a block, or pass of a spectrum, adds no more than \
     1e-6 to the equivalent plastic strain at any point; none: it adds more, and at least 98 % of what \
     the period before added; undecided: it adds more, but less than the period before, or there is no \
     like period before it";

/// Halvings of a side of the edge to find where a path starts: down to rounding.
const HALVINGS: usize = 50;

/// Whether the metal answers elastically in the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Shakedown {
    /// It does.
    Reached,
    /// It yields in every cycle, as much as before.
    None,
    /// It still settles, or there are too few cycles to tell.
    Undecided,
}

impl Shakedown {
    /// Word in tables and in `summary.json`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Reached => "true",
            Self::None => "false",
            Self::Undecided => "undecided",
        }
    }

    fn of(periods: &[Period]) -> Self {
        match periods {
            [.., last] if last.growth <= SHAKEN_DOWN => Self::Reached,
            // The first period of all comes from no load and has no like before it.
            [_, .., before, last]
                if before.block == last.block && last.growth >= SETTLING * before.growth =>
            {
                Self::None
            }
            _ => Self::Undecided,
        }
    }
}

/// Hoop stress at the edge of one path under a service load, MPa.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ServicePath {
    /// Name of the hole.
    pub hole: String,
    /// Direction, degrees counter-clockwise from +x.
    pub angle_deg: f64,
    /// Without load, before the first cycle.
    pub before: f64,
    /// Without load, after the last cycle.
    pub after: f64,
    /// Highest at a turning point of the last period.
    pub highest: f64,
    /// Lowest there.
    pub lowest: f64,
    /// Range of the total hoop strain over the turning points of the last period.
    pub strain_range: f64,
}

impl ServicePath {
    /// Half of highest and lowest of the last period.
    #[must_use]
    pub fn mean(&self) -> f64 {
        0.5 * (self.highest + self.lowest)
    }

    /// Highest less lowest of the last period.
    #[must_use]
    pub fn range(&self) -> f64 {
        self.highest - self.lowest
    }
}

/// Edge hoop stress of every path at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ServiceRow {
    /// Number of the turning point, from 1; 0 before the first.
    pub reversal: usize,
    /// Kind of moment.
    pub mark: Mark,
    /// Cycle or pass, from 1; 0 before the first.
    pub period: usize,
    /// Share of the stated load.
    pub load: f64,
    /// One value a path, in the order of the summary's paths, MPa.
    pub edge_hoop: Vec<f64>,
    /// Total hoop strain likewise.
    pub edge_strain: Vec<f64>,
    /// As the reading of the run.
    pub plastic_growth: f64,
}

/// One plate under a service load.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ServiceCourse {
    /// Paths, hole by hole, angles rising.
    pub paths: Vec<ServicePath>,
    /// Readings in the order of time.
    pub rows: Vec<ServiceRow>,
    /// Plastic strain added by every period.
    pub periods: Vec<Period>,
    /// Whether it has shaken down.
    pub shakedown: Shakedown,
}

/// A service stage in numbers.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ServiceSummary {
    /// Label of the stage.
    pub stage: String,
    /// How the load goes.
    pub program: Program,
    /// The part as worked.
    pub worked: ServiceCourse,
    /// The same part with holes that were never worked; paths in the same order.
    pub plain: Option<ServiceCourse>,
}

impl ServiceSummary {
    /// Index of the path with the highest stress in the last period, the one to look at.
    #[must_use]
    pub fn worst(&self) -> Option<usize> {
        let highest = |index: &usize| self.worked.paths[*index].highest;
        (0..self.worked.paths.len()).max_by(|a, b| highest(a).total_cmp(&highest(b)).then(b.cmp(a)))
    }

    /// By how much the work lowers the highest stress at the edge of a path, MPa.
    #[must_use]
    pub fn lowered(&self, path: usize) -> Option<f64> {
        let plain = self.plain.as_ref()?.paths.get(path)?;
        Some(plain.highest - self.worked.paths[path].highest)
    }
}

/// The service stages of a run that are over, from its `last` snapshot; `plain` is the last
/// snapshot of the same loads on the plain part, with its job.
///
/// `extra_angles` as for [`read`](crate::result::read::read).
#[must_use]
pub fn services(
    last: &Snapshot,
    job: &Job,
    extra_angles: &[Vec<f64>],
    plain: Option<(&Snapshot, &Job)>,
) -> Vec<ServiceSummary> {
    // Directions are those of the part as drawn: a cutter off the centre must not turn them.
    let angles: Vec<Vec<f64>> = (0..job.plate.holes.len())
        .map(|index| {
            path_angles(&job.plate, index, extra_angles.get(index).map_or(&[][..], Vec::as_slice))
        })
        .collect();
    let plain = plain.map(|(snapshot, job)| {
        let holes = &job.plate.holes;
        snapshot.services.iter().map(|h| course(h, holes, &angles)).collect::<Vec<_>>()
    });
    last.services
        .iter()
        .enumerate()
        .map(|(index, history)| ServiceSummary {
            stage: history.label.clone(),
            program: history.program.clone(),
            worked: course(history, &job.plate.holes, &angles),
            plain: plain.as_ref().and_then(|all| all.get(index).cloned()),
        })
        .collect()
}

/// A hole, a direction in degrees, and the share of each node of the edge side it meets.
type EdgeLine = (usize, f64, [(usize, f64); 3]);

fn course(history: &ServiceHistory, holes: &[Hole], angles: &[Vec<f64>]) -> ServiceCourse {
    let lines: Vec<EdgeLine> = angles
        .iter()
        .enumerate()
        .flat_map(|(hole, angles)| angles.iter().map(move |&angle| (hole, angle)))
        .map(|(hole, angle)| (hole, angle, place(history, &holes[hole], hole, angle)))
        .collect();
    let mut reversal = 0;
    let rows: Vec<ServiceRow> = history
        .readings
        .iter()
        .map(|reading| {
            reversal += usize::from(reading.mark == Mark::Turn);
            let values = |edges: &[Vec<f64>]| -> Vec<f64> {
                let value = |(hole, _, shares): &EdgeLine| {
                    shares.iter().map(|(node, share)| share * edges[*hole][*node]).sum()
                };
                lines.iter().map(value).collect()
            };
            ServiceRow {
                reversal,
                mark: reading.mark,
                period: reading.period,
                load: reading.load,
                edge_hoop: values(&reading.edge_hoop),
                edge_strain: values(&reading.edge_strain),
                plastic_growth: reading.plastic_growth,
            }
        })
        .collect();
    let last = rows.iter().filter(|row| row.mark == Mark::Turn).map(|row| row.period).max();
    let paths = lines.iter().enumerate().map(|(index, (hole, angle, _))| {
        let value = |row: &ServiceRow| row.edge_hoop[index];
        let at = |mark: Mark| rows.iter().find(|row| row.mark == mark).map_or(f64::NAN, value);
        let of_last = || rows.iter().filter(|r| r.mark == Mark::Turn && Some(r.period) == last);
        let turns = || of_last().map(value);
        let strains = || of_last().map(|row| row.edge_strain[index]);
        ServicePath {
            hole: holes[*hole].name.clone(),
            angle_deg: *angle,
            before: at(Mark::Before),
            after: at(Mark::After),
            highest: turns().fold(f64::NEG_INFINITY, f64::max),
            lowest: turns().fold(f64::INFINITY, f64::min),
            strain_range: strains().fold(f64::NEG_INFINITY, f64::max)
                - strains().fold(f64::INFINITY, f64::min),
        }
    });
    ServiceCourse {
        paths: paths.collect(),
        periods: history.periods.clone(),
        shakedown: Shakedown::of(&history.periods),
        rows,
    }
}

/// The edge nodes that a path starts between, with their shares: a parabola along the side.
fn place(history: &ServiceHistory, hole: &Hole, index: usize, angle_deg: f64) -> [(usize, f64); 3] {
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    let [x, y] = hole.centre;
    // Folding a point a radius away keeps clear of the mirror line through the centre.
    let radius = hole.radius();
    let (folded, _) = history.symmetry.fold([x + radius * cos, y + radius * sin]);
    let angle = hole.angle_to(folded);
    let edge = &history.edges[index];
    let count = edge.len();
    let edge_of = |node: usize| edge[node];
    let turned = |at: [f64; 2]| {
        let turn = hole.angle_to(at) - angle;
        (turn + std::f64::consts::PI).rem_euclid(std::f64::consts::TAU) - std::f64::consts::PI
    };
    let turn = |node: usize| turned(edge[node]);
    for k in 0..count / 2 {
        let nodes = [2 * k, 2 * k + 1, (2 * k + 2) % count];
        let (from, to) = (turn(nodes[0]), turn(nodes[2]));
        if from <= 1e-9 && to >= -1e-9 && to - from < std::f64::consts::PI {
            // The angle is not quite linear along a parabola: halve until it is met.
            let angle_at = |xi: f64| {
                let shares = side::values(xi);
                let part = |axis: usize| (0..3).map(|m| shares[m] * edge_of(nodes[m])[axis]).sum();
                turned([part(0), part(1)])
            };
            let (mut low, mut high) = (-1.0, 1.0);
            for _ in 0..HALVINGS {
                let middle = 0.5 * (low + high);
                if angle_at(middle) < 0.0 { low = middle } else { high = middle }
            }
            // A path through a node reads that node alone.
            let on_node = [-1.0, 0.0, 1.0].into_iter().find(|xi: &f64| (xi - low).abs() < 1e-9);
            let shares = side::values(on_node.unwrap_or(low));
            return std::array::from_fn(|m| (nodes[m], shares[m]));
        }
    }
    // The edge of a hole goes all round, or to the mirror lines that `fold` keeps within.
    [(0, 1.0), (0, 0.0), (0, 0.0)]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn periods(growths: &[f64], blocks: &[usize]) -> Vec<Period> {
        let one = |(k, (growth, block)): (usize, (&f64, &usize))| Period {
            number: k + 1,
            block: *block,
            growth: *growth,
            drift: 0.0,
            position: [0.0; 2],
        };
        growths.iter().zip(blocks).enumerate().map(one).collect()
    }

    #[test]
    fn shakedown_is_told_by_the_last_periods_of_one_block() {
        let of = |growths: &[f64], blocks: &[usize]| Shakedown::of(&periods(growths, blocks));
        assert_eq!(of(&[2e-3, 0.0], &[1, 1]), Shakedown::Reached);
        assert_eq!(of(&[2e-3, 1e-4, 1e-4], &[1, 1, 1]), Shakedown::None);
        assert_eq!(of(&[2e-3, 1e-4, 5e-5], &[1, 1, 1]), Shakedown::Undecided);
        assert_eq!(of(&[2e-3, 1e-4], &[1, 1]), Shakedown::Undecided);
        assert_eq!(of(&[2e-3, 1e-4, 1e-4], &[1, 1, 2]), Shakedown::Undecided);
        assert_eq!(of(&[], &[]), Shakedown::Undecided);
    }
}
