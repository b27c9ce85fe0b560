//! Residual hoop stress around cold-expanded holes, by two-dimensional elastic-plastic
//! finite elements: a plate with holes is meshed, an oversize mandrel is driven through
//! them and taken out, the holes are reamed and the plate is loaded; what stress is left?
//!
//! ```
//! use hoopset::{Sequence, Snapshot, parse, read};
//!
//! let case = parse(r#"
//!     units = "mm-MPa"
//!     plate = { outer_diameter = 30.0, thickness = 3.0, alloy = "2024-T351 plate" }
//!     hole = [ { name = "A", starting_diameter = 6.0 } ]
//!     stage = [ { expand = "A", applied_expansion = 0.04 } ]
//!     numerics = { fineness = 0.5, increments = 12 }
//! "#, "disc.toml")?;
//! let mut snapshots: Vec<Snapshot> = Vec::new();
//! Sequence::new(case.job.clone())?.run(&mut snapshots).map_err(|failure| failure.error)?;
//! let (_, summary) = read(&snapshots[1], &case.job, &case.path_angles)?; // 0 is at full size
//! assert!(summary.paths[0].edge_hoop < -300.0, "compression at the edge, MPa");
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```
//!
//! Inside there is one system of units: mm, N, MPa, radians. Tension is positive, contact
//! pressure is positive in compression, angles are counter-clockwise from +x, and hoop and radial
//! are about the centre of the hole that is named. The case file is documented in
//! [`case::keys`], the program around it in the README and in `docs/`.
//!
//! # The house
//!
//! Data flows one way. A module imports from lower floors only, never up, never sideways.
//!
//! ```text
//! 11  cli       commands, progress, messages, exit codes
//! 10  verify    the book of known answers     live      the page with sliders
//!  9  plot      figures                       report    folder, tables, fields, pages
//!  8  study     many solutions: bracket, refinement, lives, tool sheet, studies
//!  7  case      case file to job              texts     carried along
//!  6  result    fields, paths, numbers        fracture  cracks opened in the mesh
//!  5  process   tools, stages, their sequence, snapshots
//!  4  solver    equilibrium and contact, one increment at a time
//!  3  mesh      rings and fill                theory    closed forms
//!  2  element   shapes, kernel                fit       constants from measurements
//!  1  geometry  plate, holes                  material  metal at a point              fatigue   growth, life; reads profiles only
//!  0  units     units at the border           tensor    stress, strain                numeric   roots, profiles               packed    deflated bytes
//! ```

pub mod case;
pub mod cli;
pub mod live;
pub mod plot;
pub mod report;
pub mod study;
mod texts;
pub mod verify;

use hoopset_engine::packed;
// Floors 0 to 6: what computes, a package of its own.
pub use hoopset_engine::{
    element, fatigue, fit, fracture, geometry, material, mesh, numeric, process, result, solver,
    tensor, theory, units,
};

pub use case::{Case, Complaint, parse};
pub use geometry::hole::Hole;
pub use geometry::plate::{Outline, Plate};
pub use material::elasticity::Elasticity;
pub use material::hardening::{Isotropic, Material};
pub use material::idealisation::Idealisation;
pub use process::job::{Job, Numerics};
pub use process::sequence::{Observer, Sequence};
pub use process::snapshot::Snapshot;
pub use process::stage::Stage;
pub use process::tool::Tool;
pub use result::read::read;
pub use units::Units;

/// The code in the documents, compiled as a doc test.
#[cfg(doctest)]
#[doc = include_str!("../docs/library.md")]
pub struct Documents;
