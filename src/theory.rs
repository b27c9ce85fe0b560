//! Closed forms that the simulator is held against, each a struct with its limits and its traps.
//!
//! Tests, figures and lessons ask the same structs. Nothing here knows elements,
//! meshes or the solver, and the solver never asks here.
//!
//! Conventions: tension positive; pressure positive in compression; hoop and
//! radial about the centre of the hole; angles in radians, counter-clockwise
//! from +x. Units mm and MPa, though any one pair of length and stress will do
//! as long as Young's modulus is in it too (one published example is in mm and GPa).
//!
//! What each source label means: *derived* — worked out again from first
//! principles, the named author has the credit; *computed* — evaluated
//! independently of any finite elements, converged to the digits shown; *from
//! memory* — recalled, not looked up.
//!
//! Floor 2.

pub mod edge_hole;
pub mod field;
pub mod galin;
pub mod hardening_sheet;
pub mod lame;
pub mod plastic_cylinder;
pub mod plastic_sheet;
pub mod plate_hole;
pub mod range;
pub mod ream;
pub mod residual_cylinder;
pub mod residual_sheet;
pub mod sheet_flow;
pub mod strip_hole;
pub mod wall;
