//! Fields of a snapshot for general viewers: `STAGE.vtu`, `STAGE-points.vtu`, `stages.pvd`.
//!
//! Files as [`crate::mesh::grid_file`] writes them. Points are the
//! reference positions of the modelled part (a half or quarter where symmetry was used) with
//! z = 0; vectors have three components. Integration points are vertices.

use crate::geometry::hole::{Hole, nearest_hole};
use crate::mesh::export::cells;
use crate::mesh::grid_file::{CellKind, Cells, FieldArray, Numbers, grid_file};
use crate::report::escape;
use crate::result::stage::{PointValues, StageResult};
use crate::tensor::Stress;
use crate::units::Units;
use crate::units::quantity::{Described, Quantity};

#[rustfmt::skip] // one line an array reads as a table
const ARRAYS: [Described; 16] = [
    array("displacement", Quantity::Length, "three components, z = 0; in STAGE.vtu only"),
    array("stress_xx", Quantity::Stress, "normal stress along x"),
    array("stress_yy", Quantity::Stress, "normal stress along y"),
    array("stress_zz", Quantity::Stress, "normal stress through the thickness"),
    array("stress_xy", Quantity::Stress, "shear stress in the plane"),
    array("nearest_hole", Quantity::Count, "position in the case file, from 1, of the hole whose drilled edge is nearest"),
    array("hoop_about_nearest_hole", Quantity::Stress, "hoop stress about the centre of the nearest hole"),
    array("radial_about_nearest_hole", Quantity::Stress, "radial stress about the centre of the nearest hole"),
    array("shear_about_nearest_hole", Quantity::Stress, "shear stress about the centre of the nearest hole"),
    array("von_mises", Quantity::Stress, "equivalent stress"),
    array("equivalent_plastic_strain", Quantity::Fraction, "accumulated over all stages"),
    array("reverse_plastic_strain", Quantity::Fraction, "part of it added since the tool last stood at full size"),
    array("thickness_change", Quantity::Fraction, "of the plate over the drawn thickness, positive where it has grown; in STAGE.vtu only"),
    array("plastic_zone", Quantity::Count, "1 where the metal has yielded, else 0"),
    array("reverse_yield_zone", Quantity::Count, "1 where it has yielded in reverse, else 0"),
    array("hoop_jump", Quantity::Stress, "largest difference of hoop stress between the elements that meet; in STAGE.vtu only"),
];

const fn array(name: &'static str, quantity: Quantity, meaning: &'static str) -> Described {
    Described { name, quantity, meaning }
}

/// Every array of the field files, for the `fields` block of the summary.
#[must_use]
pub fn arrays() -> &'static [Described] {
    &ARRAYS
}

/// `fields/STAGE.vtu`: mesh and nodal fields, in border units.
///
/// Stresses at the nodes are the recovered ones; `holes` are those of the plate.
#[must_use]
pub fn nodes(stage: &StageResult, holes: &[Hole], units: Units) -> Vec<u8> {
    let (mesh, nodal) = (&stage.mesh, &stage.nodal);
    let mut data = Arrays { units, list: Vec::new() };
    data.vectors("displacement", &nodal.displacement);
    data.stresses(&mesh.nodes, &nodal.stress, Some(&nodal.hoop), holes);
    data.plasticity(&nodal.equivalent_plastic_strain, &nodal.reverse_plastic_strain);
    data.numbers("thickness_change", nodal.thickness_change.iter().copied());
    data.numbers("hoop_jump", nodal.hoop_jump.iter().copied());
    grid_file(&in_space(&mesh.nodes, units), &cells(mesh), [&data.list, &[]])
}

/// `fields/STAGE-points.vtu`: values at the integration points as computed, in border units.
#[must_use]
pub fn points(stage: &StageResult, holes: &[Hole], units: Units) -> Vec<u8> {
    let each = |value: fn(&PointValues) -> f64| stage.points.iter().map(value).collect::<Vec<_>>();
    let positions: Vec<[f64; 2]> = stage.points.iter().map(|point| point.position).collect();
    let stresses: Vec<Stress> = stage.points.iter().map(|point| point.stress).collect();
    let mut cells = Cells::default();
    (0..positions.len()).for_each(|point| cells.add(&[point], CellKind::Vertex));

    let mut data = Arrays { units, list: Vec::new() };
    data.stresses(&positions, &stresses, None, holes);
    let accumulated = each(|point| point.equivalent_plastic_strain);
    data.plasticity(&accumulated, &each(|point| point.reverse_plastic_strain));
    grid_file(&in_space(&positions, units), &cells, [&data.list, &[]])
}

/// `fields/stages.pvd`: the snapshots in order, one time unit apart.
#[must_use]
pub fn collection<'a>(stages: impl IntoIterator<Item = &'a str>) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"Collection\" version=\"0.1\" \
         byte_order=\"LittleEndian\">\n  <Collection>\n",
    );
    for (time, stage) in stages.into_iter().enumerate() {
        let file = escape::markup(stage);
        text.push_str(&format!(
            "    <DataSet timestep=\"{time}\" part=\"0\" file=\"{file}.vtu\"/>\n"
        ));
    }
    text.push_str("  </Collection>\n</VTKFile>\n");
    text
}

/// Arrays in the making; names and quantities come from [`ARRAYS`].
struct Arrays {
    units: Units,
    list: Vec<FieldArray>,
}

impl Arrays {
    fn push(&mut self, name: &str, components: usize, numbers: Numbers) {
        self.list.push(FieldArray { name: name.to_owned(), components, numbers });
    }

    fn numbers(&mut self, name: &str, values: impl Iterator<Item = f64>) {
        let described = ARRAYS.iter().find(|array| array.name == name);
        let quantity = described.expect("every array that is written is described").quantity;
        let units = self.units;
        let values: Vec<f64> = values.map(|value| quantity.at_border(value, units)).collect();
        self.push(name, 1, Numbers::Float(values));
    }

    fn vectors(&mut self, name: &str, values: &[[f64; 2]]) {
        self.push(name, 3, Numbers::Float(in_space(values, self.units)));
    }

    /// Everything that a stress tells. `hoop` is given where it was recovered in its own right.
    fn stresses(
        &mut self,
        at: &[[f64; 2]],
        stress: &[Stress],
        hoop: Option<&[f64]>,
        holes: &[Hole],
    ) {
        self.numbers("stress_xx", stress.iter().map(|s| s.xx));
        self.numbers("stress_yy", stress.iter().map(|s| s.yy));
        self.numbers("stress_zz", stress.iter().map(|s| s.zz));
        self.numbers("stress_xy", stress.iter().map(|s| s.xy));
        let nearest: Vec<Option<usize>> = at.iter().map(|&p| nearest_hole(p, holes)).collect();
        if let Some(nearest) = nearest.into_iter().collect::<Option<Vec<usize>>>() {
            let polar: Vec<_> = (at.iter().zip(&nearest).zip(stress))
                .map(|((&point, &hole), s)| s.polar(holes[hole].angle_to(point)))
                .collect();
            let own_hoop = || polar.iter().map(|p| p.hoop).collect();
            let hoop = hoop.map_or_else(own_hoop, <[f64]>::to_vec);
            // 2³¹ holes do not fit into a plate, nor into memory.
            let numbers = nearest.iter().map(|&hole| i32::try_from(hole + 1).unwrap_or(i32::MAX));
            self.push("nearest_hole", 1, Numbers::Whole(numbers.collect()));
            self.numbers("hoop_about_nearest_hole", hoop.into_iter());
            self.numbers("radial_about_nearest_hole", polar.iter().map(|p| p.radial));
            self.numbers("shear_about_nearest_hole", polar.iter().map(|p| p.shear));
        }
        self.numbers("von_mises", stress.iter().map(|s| s.von_mises()));
    }

    fn plasticity(&mut self, accumulated: &[f64], reverse: &[f64]) {
        let flags = |values: &[f64]| values.iter().map(|&v| i32::from(v > 0.0)).collect();
        self.numbers("equivalent_plastic_strain", accumulated.iter().copied());
        self.numbers("reverse_plastic_strain", reverse.iter().copied());
        self.push("plastic_zone", 1, Numbers::Whole(flags(accumulated)));
        self.push("reverse_yield_zone", 1, Numbers::Whole(flags(reverse)));
    }
}

/// Plane vectors in mm as `(x, y, 0)` in border units, one after the other.
fn in_space(values: &[[f64; 2]], units: Units) -> Vec<f64> {
    let convert = |value: f64| Quantity::Length.at_border(value, units);
    values.iter().flat_map(|v| [convert(v[0]), convert(v[1]), 0.0]).collect()
}
