//! Results of a section: stresses against distance at every depth, bore and faces.
//!
//! Point values are carried to the nodes inside each element and averaged over the elements at a
//! node, as in a plate; components are `(rr, zz, θθ, rz)` already. The bore carries no traction
//! after the work: the radial stress recovered there is the error of the recovery. A path follows a row of the mesh;
//! its distances are those in the part as it stands, with small strains those in the part as drawn.

use crate::element::point_field::{QUAD_POINTS, quad_shares};
use crate::element::shape::QUAD8_NODES;
use crate::material::strains::Strains;
use crate::mesh::topology::{Mesh, NodeId};
use crate::numeric::profile::Profile;
use crate::process::section::record::SectionSnapshot;
use crate::tensor::Stress;

/// Shares of the thickness, from the entry face, at which paths are read.
pub const DEPTHS: [f64; 7] = [0.0, 0.05, 0.25, 0.5, 0.75, 0.95, 1.0];

/// Share of the thickness on either side of a depth that its path is averaged over.
const WINDOW: f64 = 0.06;

/// The same nearer to a face, as far as there is metal: at a face a mean over the first two rows. The corner node alone
/// has what one element leaves there, which differs by a twentieth of the yield stress where the next nodes agree.
const SKIN: f64 = 0.005;

/// One place on a path.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SectionPoint {
    /// Distance from the bore at that depth, mm, in the part as it stands; with small strains as drawn.
    pub distance: f64,
    /// Radius before any work, mm.
    pub r: f64,
    /// Depth below the entry face before any work, mm.
    pub z: f64,
    /// Hoop stress, MPa.
    pub hoop: f64,
    /// Radial stress, MPa.
    pub radial: f64,
    /// Axial stress, MPa.
    pub axial: f64,
    /// Shear stress between radius and depth, MPa.
    pub shear: f64,
    /// Equivalent stress, MPa.
    pub von_mises: f64,
    /// Equivalent plastic strain.
    pub equivalent_plastic_strain: f64,
}

/// Stress against distance at one depth.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionPath {
    /// Share of the thickness from the entry face; `None` for the mean over the thickness.
    pub share: Option<f64>,
    /// From the bore outward.
    pub points: Vec<SectionPoint>,
}

/// Hoop stress of a path in a few numbers. Stresses in MPa, distances in mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SectionHeadline {
    /// At the bore.
    pub edge: f64,
    /// Highest compression, negative; and where.
    pub peak_compression: (f64, f64),
    /// Distance at which compression ends; `None` when it does not.
    pub depth_of_compression: Option<f64>,
}

/// A section read after a stage.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionReading {
    /// Label of the stage.
    pub label: String,
    /// One path for every one of [`DEPTHS`], then the mean over the thickness.
    pub paths: Vec<SectionPath>,
    /// The bore: stresses at every node from the entry face down.
    pub wall: Vec<SectionPoint>,
    /// Depth and diameter of the bore as it stands, at every node from the entry face down, mm.
    pub bore: Vec<[f64; 2]>,
    /// Lip of the entry face and of the exit face: how far the metal at the bore stands out beyond
    /// the face at twice the bore's radius, mm.
    pub upset: [f64; 2],
}

impl SectionPath {
    /// The headline numbers of the path.
    #[must_use]
    pub fn headline(&self) -> SectionHeadline {
        let peak = self
            .points
            .iter()
            .min_by(|a, b| a.hoop.total_cmp(&b.hoop))
            .map_or((0.0, 0.0), |point| (point.hoop, point.distance));
        let turn = self.points.windows(2).find(|pair| pair[0].hoop < 0.0 && pair[1].hoop >= 0.0);
        let depth_of_compression = turn.map(|pair| {
            let share = pair[0].hoop / (pair[0].hoop - pair[1].hoop);
            pair[0].distance + share * (pair[1].distance - pair[0].distance)
        });
        let edge = self.points.first().map_or(0.0, |point| point.hoop);
        SectionHeadline { edge, peak_compression: peak, depth_of_compression }
    }
}

impl SectionPath {
    /// Depth below the entry face at which it begins, mm as drawn; `None` for the mean over the thickness. Below a
    /// spotface the first is that of its floor.
    #[must_use]
    pub fn depth(&self) -> Option<f64> {
        self.share.and_then(|_| self.points.first()).map(|point| point.z)
    }

    /// Radial stress recovered at the bore, which carries no traction after the work, over the
    /// highest compression of the hoop stress; `None` where there is no compression.
    #[must_use]
    pub fn edge_error(&self) -> Option<f64> {
        let (peak, _) = self.headline().peak_compression;
        let edge = self.points.first()?;
        (peak < 0.0).then(|| (edge.radial / peak).abs())
    }
}

impl SectionReading {
    /// Diameter that a bore gauge reads at a share of the depth of the bore, mm.
    #[must_use]
    pub fn gauge(&self, share: f64) -> f64 {
        let (Some(first), Some(last)) = (self.bore.first(), self.bore.last()) else { return 0.0 };
        let depth = first[0] + share * (last[0] - first[0]);
        let after = self.bore.partition_point(|[z, _]| *z < depth);
        match (after.checked_sub(1).map(|k| self.bore[k]), self.bore.get(after).copied()) {
            (Some([z0, d0]), Some([z1, d1])) => d0 + (d1 - d0) * (depth - z0) / (z1 - z0),
            (None, Some([_, diameter])) | (Some([_, diameter]), None) => diameter,
            (None, None) => 0.0,
        }
    }
}

/// Reads a snapshot.
#[must_use]
pub fn read_section(snapshot: &SectionSnapshot) -> SectionReading {
    let mesh = &snapshot.mesh;
    let field = Field::of(snapshot);
    let lines = lines(mesh);
    let depths = DEPTHS.into_iter().map(Some).chain([None]);
    let paths = depths.map(|share| field.path(&lines, share)).collect();
    let at_bore = |&node: &NodeId| SectionPoint { distance: 0.0, ..field.blend(&[(node, 1.0)]) };
    let wall = lines[0].iter().map(at_bore).collect();
    let displaced = |node: NodeId| {
        let (at, moved) = (mesh.nodes[node], snapshot.state.displacement[node]);
        [at[0] + moved[0], at[1] + moved[1]]
    };
    let edge = &mesh.holes[0].edge;
    let bore = edge.iter().map(|&node| displaced(node)).map(|[r, z]| [z, 2.0 * r]).collect();
    // Lines start at the entry face and end at the exit face.
    let upset = [true, false].map(|entry| {
        let end = |line: &[NodeId]| if entry { line[0] } else { line[line.len() - 1] };
        let lip = displaced(end(&lines[0]))[1];
        let twice = 2.0 * mesh.nodes[end(&lines[0])][0];
        let away = lines.iter().find(|line| mesh.nodes[end(line)][0] >= twice);
        let level = displaced(end(away.unwrap_or(&lines[lines.len() - 1])))[1];
        if entry { level - lip } else { lip - level }
    });
    SectionReading { label: snapshot.label.clone(), paths, wall, bore, upset }
}

/// The path of a snapshot at a share of the thickness from the entry face; `None` for the mean over the thickness.
#[must_use]
pub fn path_at(snapshot: &SectionSnapshot, share: Option<f64>) -> SectionPath {
    Field::of(snapshot).path(&lines(&snapshot.mesh), share)
}

/// Hoop stress of a snapshot against the distance from the bore at the depth of every row of its mesh:
/// depth below the entry face (mm), distance (mm) and hoop stress (MPa).
#[must_use]
pub fn hoop_by_row(snapshot: &SectionSnapshot) -> Vec<(f64, Profile)> {
    let mesh = &snapshot.mesh;
    let field = Field::of(snapshot);
    let lines = lines(mesh);
    (0..lines[0].len())
        .step_by(2)
        .map(|place| {
            let row = lines.iter().map(|line| field.blend(&[(line[place], 1.0)]));
            let points = from_bore(row);
            let of = |value: fn(&SectionPoint) -> f64| points.iter().map(value).collect();
            let profile = Profile::new(of(|at| at.distance), of(|at| at.hoop));
            (mesh.nodes[lines[0][place]][1], profile)
        })
        .collect()
}

/// Stress `(rr, zz, θθ, rz)` in MPa and plastic strain at every node.
#[must_use]
pub fn nodal(snapshot: &SectionSnapshot) -> Vec<[f64; 5]> {
    let mesh = &snapshot.mesh;
    let mut sums = vec![[0.0; 5]; mesh.nodes.len()];
    let mut counts = vec![0_u32; mesh.nodes.len()];
    for (quad, nodes) in mesh.quads.iter().enumerate() {
        let first = QUAD_POINTS * quad;
        for (&node, local) in nodes.iter().zip(QUAD8_NODES) {
            counts[node] += 1;
            for (offset, share) in quad_shares(local).into_iter().enumerate() {
                let stress = &snapshot.state.stress[first + offset];
                let plastic = snapshot.state.points[first + offset].equivalent;
                let values = [stress[0], stress[1], stress[2], stress[3], plastic];
                for (sum, value) in sums[node].iter_mut().zip(values) {
                    *sum += share * value;
                }
            }
        }
    }
    for (sum, count) in sums.iter_mut().zip(counts) {
        *sum = sum.map(|value| value / f64::from(count.max(1)));
    }
    sums
}

/// Nodes of every border of columns, from the bore outward; along each from the entry face down,
/// borders and middles of rows in turn.
fn lines(mesh: &Mesh) -> Vec<Vec<NodeId>> {
    let hole = &mesh.holes[0];
    (0..=hole.layers)
        .map(|line| {
            let (layer, [start, middle, end]) =
                if line < hole.layers { (line, [0, 7, 3]) } else { (line - 1, [1, 5, 2]) };
            let mut nodes = Vec::with_capacity(2 * hole.sectors + 1);
            for row in 0..hole.sectors {
                let quad = &mesh.quads[hole.quad(layer, row)];
                nodes.extend([quad[start], quad[middle]]);
                if row + 1 == hole.sectors {
                    nodes.push(quad[end]);
                }
            }
            nodes
        })
        .collect()
}

/// Values at the nodes of a section.
struct Field<'a> {
    mesh: &'a Mesh,
    /// Stress and plastic strain.
    values: Vec<[f64; 5]>,
    /// Radius that distances are measured by, mm.
    radius: Vec<f64>,
}

impl<'a> Field<'a> {
    fn of(snapshot: &'a SectionSnapshot) -> Self {
        let mesh = &snapshot.mesh;
        let moved = match snapshot.strains {
            Strains::Finite => 1.0,
            Strains::Small => 0.0,
        };
        let places = mesh.nodes.iter().zip(&snapshot.state.displacement);
        let radius = places.map(|(at, by)| at[0] + moved * by[0]).collect();
        Self { mesh, values: nodal(snapshot), radius }
    }

    /// The path along `lines` at a share of the thickness; `None` for the mean over the thickness.
    fn path(&self, lines: &[Vec<NodeId>], share: Option<f64>) -> SectionPath {
        let points = from_bore(lines.iter().map(|line| match share {
            Some(share) => self.at_share(line, share),
            None => self.mean(line),
        }));
        SectionPath { share, points }
    }

    /// Drawn depth of a node, mm.
    fn depth(&self, node: NodeId) -> f64 {
        self.mesh.nodes[node][1]
    }

    /// A sum of nodal values along a line, with the place that belongs to it; its distance is still
    /// the radius.
    fn blend(&self, parts: &[(NodeId, f64)]) -> SectionPoint {
        let (mut place, mut values, mut radius) = ([0.0; 2], [0.0; 5], 0.0);
        for &(node, share) in parts {
            let drawn = self.mesh.nodes[node];
            place.iter_mut().zip(drawn).for_each(|(sum, part)| *sum += share * part);
            values.iter_mut().zip(self.values[node]).for_each(|(sum, part)| *sum += share * part);
            radius += share * self.radius[node];
        }
        let [radial, axial, hoop, shear, plastic] = values;
        let stress = Stress { xx: radial, yy: axial, zz: hoop, xy: shear };
        SectionPoint {
            distance: radius,
            r: place[0],
            z: place[1],
            hoop,
            radial,
            axial,
            shear,
            von_mises: stress.von_mises(),
            equivalent_plastic_strain: plastic.max(0.0),
        }
    }

    /// The values of a line at a share of its depth: near a face their mean within [`SKIN`], farther in
    /// by a straight line through the nodes within [`WINDOW`], the nearest of which count most. What a
    /// passing mandrel leaves from one node to the next is then averaged out.
    fn at_share(&self, line: &[NodeId], share: f64) -> SectionPoint {
        if !(2.0 * WINDOW..=1.0 - 2.0 * WINDOW).contains(&share) {
            return self.near_face(line, share);
        }
        let first = self.depth(line[0]);
        let whole = self.depth(line[line.len() - 1]) - first;
        // Share off the wanted one, and weight, of every node.
        let near: Vec<(NodeId, f64, f64)> = line
            .iter()
            .map(|&node| (node, (self.depth(node) - first) / whole - share))
            .map(|(node, off)| (node, off, 1.0 - off.abs() / WINDOW))
            .filter(|&(_, _, weight)| weight > 0.0)
            .collect();
        let moment = |power: i32| near.iter().map(|(_, off, w)| w * off.powi(power)).sum::<f64>();
        let [none, first, second] = [0, 1, 2].map(moment);
        let determinant = none * second - first * first;
        if near.len() < 3 || determinant <= 0.0 {
            return self.between_nodes(line, share);
        }
        let parts: Vec<(NodeId, f64)> = near
            .iter()
            .map(|&(node, off, w)| (node, w * (second - first * off) / determinant))
            .collect();
        self.blend(&parts)
    }

    /// The mean of a line within [`SKIN`] of a share of its depth, straight between nodes; the place is that of the share
    /// itself.
    fn near_face(&self, line: &[NodeId], share: f64) -> SectionPoint {
        let depth = |place: usize| self.depth(line[place]);
        let (first, whole) = (depth(0), depth(line.len() - 1) - depth(0));
        let [from, to] = [share - SKIN, share + SKIN].map(|s| first + s.clamp(0.0, 1.0) * whole);
        let mut parts = Vec::new();
        for k in 0..line.len() - 1 {
            let (low, high) = (depth(k).max(from), depth(k + 1).min(to));
            if high > low {
                let middle = (0.5 * (low + high) - depth(k)) / (depth(k + 1) - depth(k));
                let weight = (high - low) / (to - from);
                parts.extend([(line[k], weight * (1.0 - middle)), (line[k + 1], weight * middle)]);
            }
        }
        let SectionPoint { distance, r, z, .. } = self.between_nodes(line, share);
        SectionPoint { distance, r, z, ..self.blend(&parts) }
    }

    /// The values of a line at a share of its depth, between two nodes.
    fn between_nodes(&self, line: &[NodeId], share: f64) -> SectionPoint {
        let depth = |place: usize| self.depth(line[place]);
        let wanted = depth(0) + share * (depth(line.len() - 1) - depth(0));
        let after = (1..line.len() - 1).find(|&k| depth(k) >= wanted).unwrap_or(line.len() - 1);
        let part =
            ((wanted - depth(after - 1)) / (depth(after) - depth(after - 1))).clamp(0.0, 1.0);
        self.blend(&[(line[after - 1], 1.0 - part), (line[after], part)])
    }

    /// The mean of a line over the depth, by Simpson's rule in every row.
    fn mean(&self, line: &[NodeId]) -> SectionPoint {
        let depth = |place: usize| self.depth(line[place]);
        let whole = depth(line.len() - 1) - depth(0);
        let mut parts = Vec::with_capacity(3 * line.len());
        for k in (0..line.len() - 1).step_by(2) {
            let height = (depth(k + 2) - depth(k)) / whole;
            for (offset, weight) in [1.0, 4.0, 1.0].into_iter().enumerate() {
                parts.push((line[k + offset], weight / 6.0 * height));
            }
        }
        self.blend(&parts)
    }
}

/// Points with their distances from the first.
fn from_bore(points: impl Iterator<Item = SectionPoint>) -> Vec<SectionPoint> {
    let mut points: Vec<SectionPoint> = points.collect();
    let bore = points.first().map_or(0.0, |point| point.distance);
    for point in &mut points {
        point.distance -= bore;
    }
    points
}
