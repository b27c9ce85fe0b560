//! `[plate] mesh`: a mesh made elsewhere, matched with the holes of the case.
//!
//! The file is looked for beside the case file; its lengths are in the unit of the case.

use std::path::Path;

use crate::case::border::{Border, required_length};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};
use crate::geometry::hole::Hole;
use crate::mesh::import::import_error::ImportError;
use crate::mesh::import::{Imported, read_bytes, read_vtu};
use crate::process::stage::Stage;

/// Fewest layers of a ring mesh that a cut can be laid in: some are taken away, some move.
const LAYERS_TO_REAM: usize = 6;

/// Keys that say what a mesh says already.
const OUTLINE_KEYS: [&str; 4] = ["width", "height", "outer_diameter", "outline"];

/// Reads the mesh that `[plate]` names, when it names one; what may spoil the answer goes to
/// `warnings`.
pub(super) fn read(
    top: &Table<'_>,
    plate: &Table<'_>,
    holes: &[Table<'_>],
    border: Border,
    warnings: &mut Vec<String>,
) -> Result<Option<Imported>, Complaint> {
    let Some(name) = plate.text("mesh")? else { return Ok(None) };
    if let Some(key) = OUTLINE_KEYS.into_iter().find(|key| plate.has(key)) {
        let problem = format!("a plate has either `mesh` or `{key}`, not both");
        return Err(plate.stray(key, problem, "the outline is that of the mesh"));
    }
    if top.has("cutout") {
        let problem = "the cut-outs of a mesh that is read from a file are in the mesh";
        return Err(top.stray("cutout", problem, "leave [[cutout]] out"));
    }
    let stated = holes.iter().map(|table| stated(table, border)).collect::<Result<Vec<_>, _>>()?;
    let path = Path::new(plate.source.file).with_file_name(name.value);
    let imported = read_bytes(&path)
        .and_then(|bytes| read_vtu(&bytes, border.units.length_scale(), &stated))
        .map_err(|error| complaint(plate, &name, holes, &stated, &error))?;
    let line = plate.source.place(name.span.start).0;
    for warning in &imported.warnings {
        warnings.push(format!("line {line}: {warning}"));
    }
    Ok(Some(imported))
}

/// Where and how large a hole is said to be; the rest of its table is read later.
fn stated(table: &Table<'_>, border: Border) -> Result<Hole, Complaint> {
    let remedy = "name every hole, for example `name = \"A\"`";
    let name = table.text("name")?.ok_or_else(|| table.missing("name", remedy))?;
    for key in ["off_place", "roundness", "lobes", "lobe_angle"] {
        if table.has(key) {
            let problem = format!("`{key}` cannot change a mesh that is read from a file");
            let remedy = "draw the hole into the mesh as it is, or give the plate an outline";
            return Err(table.stray(key, problem, remedy));
        }
    }
    let remedy = "give the drilled centre, `at = [x, y]`, as the mesh has it";
    let at = table.pair("at")?.ok_or_else(|| table.missing("at", remedy))?;
    let remedy = "give the drilled diameter before expansion";
    let diameter = required_length(table, "starting_diameter", remedy, border)?;
    Ok(Hole::round(name.value.to_owned(), border.point(at.value), diameter.value))
}

/// The complaint about a mesh: at the hole when it is about one, else at the name of the file.
fn complaint(
    plate: &Table<'_>,
    name: &Valued<&str>,
    holes: &[Table<'_>],
    stated: &[Hole],
    error: &ImportError,
) -> Complaint {
    let problem = error.to_string();
    let remedy = error.hint().unwrap_or_else(|| match error {
        ImportError::Unreadable { .. } => {
            format!("`{}` is looked for beside the case file", name.value.escape_debug())
        }
        _ => "write the mesh anew, as an unstructured grid in VTK's XML form (.vtu)".to_owned(),
    });
    let about = match error {
        ImportError::NoSuchHole { hole, .. } => {
            stated.iter().position(|stated| stated.name == *hole).and_then(|at| holes.get(at))
        }
        _ => None,
    };
    if let Some(table) = about {
        let span = table.key_span("at");
        return table.source.complain(&span, "at", Kind::Geometry, problem, remedy);
    }
    let unreadable = matches!(error, ImportError::Unreadable { .. });
    let kind = if unreadable { Kind::Unreadable } else { Kind::Geometry };
    plate.about(name, kind, problem, remedy)
}

/// Whether the rest of the case can be done on an imported mesh.
pub(super) fn check_work(
    imported: &Imported,
    top: &Table<'_>,
    tables: &[Table<'_>],
    stages: &[Stage],
) -> Result<(), Complaint> {
    if let Some(numerics) = top.table("numerics", "[numerics]", "")? {
        if numerics.has("fineness") {
            let problem = "`fineness` has no effect on a mesh that is read from a file";
            return Err(numerics.stray("fineness", problem, "leave it out"));
        }
        if numerics.switch("symmetry")?.is_some_and(|switch| switch.value) {
            let problem = "a mesh that is read from a file is the whole plate";
            return Err(numerics.stray("symmetry", problem, "leave `symmetry` out"));
        }
    }
    for (table, stage) in tables.iter().zip(stages) {
        let Stage::Ream { hole, .. } = stage else { continue };
        let layers = imported.mesh.holes[*hole].layers;
        if layers < LAYERS_TO_REAM {
            let problem = format!(
                "hole `{}` cannot be reamed: its mesh has {layers} rings of quadrilaterals, \
                 {LAYERS_TO_REAM} are needed",
                imported.holes[*hole].name
            );
            let remedy = "re-mesh with this program to ream: `width` and `height` in place of \
                          `mesh`; or mesh the hole in rings";
            return Err(table.stray("ream", problem, remedy));
        }
    }
    Ok(())
}
