//! Regions that the array `thickness` of an imported mesh makes.

use std::collections::BTreeMap;

use crate::case::border::Border;
use crate::case::complaint::{Complaint, Kind};
use crate::case::region::checks::{ECCENTRIC, THICKNESS, check_alone};
use crate::case::table::Table;
use crate::geometry::plate::Plate;
use crate::material::idealisation::Idealisation;
use crate::mesh::import::Imported;
use crate::process::region::Region;

/// Numbers the elements of `imported` by the thickness they have, and names the regions they make.
pub(in crate::case) fn regions_of_mesh(
    (top, table): (&Table<'_>, &Table<'_>),
    imported: &mut Imported,
    (plate, idealisation): (&Plate, Idealisation),
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Vec<Region>, Complaint> {
    let Some(parts) = &imported.parts else { return Ok(vec![]) };
    let (parts, numbers) = parts.numbered(plate.thickness);
    imported.mesh.regions = numbers;
    if parts.is_empty() {
        return Ok(vec![]);
    }
    check_alone(top, "a mesh of several thicknesses", "the array `thickness` of the mesh")?;
    let span = table.key_span("mesh");
    let own = border.show_length(plate.thickness);
    let outside = |share: f64| !(THICKNESS[0]..=THICKNESS[1]).contains(&share);
    if let Some(part) = parts.iter().find(|part| outside(part.thickness / plate.thickness)) {
        let problem = format!(
            "array `thickness` of the mesh is {} at some elements, but the plate is {own} thick",
            border.show_length(part.thickness)
        );
        let remedy = "a region is a fiftieth to fifty times as thick as the plate; the array is in the \
                      unit of the case";
        return Err(table.source.complain(&span, "mesh", Kind::OutOfRange, problem, remedy));
    }
    if idealisation != Idealisation::PlaneStress {
        let problem = format!(
            "array `thickness` of the mesh has no meaning in {}, which a step would break",
            idealisation.name()
        );
        let remedy = "write `idealisation = \"plane stress\"` in [plate], or leave the array out";
        return Err(table.source.complain(&span, "mesh", Kind::Conflict, problem, remedy));
    }
    let line = table.source.place(span.start).0;
    let elements: usize = parts.iter().map(|part| part.elements).sum();
    if elements == imported.mesh.element_count()
        && !parts.iter().any(|part| (part.thickness - plate.thickness).abs() <= 0.0)
    {
        warnings.push(format!(
            "line {line}: no element of the mesh is {own} thick, as the plate is: remote stresses still \
             refer to it"
        ));
    }
    warnings.push(format!("line {line}: {ECCENTRIC}"));
    let mut alike: BTreeMap<String, usize> = BTreeMap::new();
    let regions = parts.into_iter().map(|part| {
        let name = format!("thickness {}", border.show_length(part.thickness));
        let count = alike.entry(name.clone()).or_insert(0);
        *count += 1;
        Region {
            name: if *count == 1 { name } else { format!("{name}, part {count}") },
            outline: part.outline,
            thickness: Some(part.thickness),
            material: None,
            thermal_expansion: None,
            material_name: String::new(),
            elements: Some(part.elements),
        }
    });
    Ok(regions.collect())
}
