//! Fields of a section for general viewers: `fields/STAGE.vtu`.
//!
//! Points are at radius and depth below the entry face before any work, `(r, z, 0)`; stresses are recovered at
//! the nodes.

use crate::mesh::export::cells;
use crate::mesh::grid_file::{FieldArray, Numbers, grid_file};
use crate::process::section::record::SectionSnapshot;
use crate::result::section::nodal;
use crate::tensor::Stress;
use crate::units::Units;
use crate::units::quantity::Quantity;

/// The bytes of the file, in border units.
#[must_use]
pub fn section_vtu(snapshot: &SectionSnapshot, units: Units) -> Vec<u8> {
    let values = nodal(snapshot);
    let array = |name: &str, quantity: Quantity, value: &dyn Fn(&[f64; 5]) -> f64| FieldArray {
        name: name.to_owned(),
        components: 1,
        numbers: Numbers::Float(
            values.iter().map(|at| quantity.at_border(value(at), units)).collect(),
        ),
    };
    let space = |all: &[[f64; 2]]| -> Vec<f64> {
        let at_border = |mm: f64| Quantity::Length.at_border(mm, units);
        all.iter().flat_map(|[r, z]| [at_border(*r), at_border(*z), 0.0]).collect()
    };
    let von_mises =
        |[xx, yy, zz, xy, _]: &[f64; 5]| Stress { xx: *xx, yy: *yy, zz: *zz, xy: *xy }.von_mises();
    let arrays = [
        FieldArray {
            name: "displacement".to_owned(),
            components: 3,
            numbers: Numbers::Float(space(&snapshot.state.displacement)),
        },
        array("stress_radial", Quantity::Stress, &|at| at[0]),
        array("stress_axial", Quantity::Stress, &|at| at[1]),
        array("stress_hoop", Quantity::Stress, &|at| at[2]),
        array("stress_shear", Quantity::Stress, &|at| at[3]),
        array("von_mises", Quantity::Stress, &von_mises),
        array("equivalent_plastic_strain", Quantity::Fraction, &|at| at[4]),
    ];
    grid_file(&space(&snapshot.mesh.nodes), &cells(&snapshot.mesh), [&arrays, &[]])
}
