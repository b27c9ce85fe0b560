//! Cracks with a curved front: at a corner of the hole, in its bore, at a corner of the plate edge.
//!
//! ```text
//!   plate face  ────┐hole        c along the face (x from the bore)
//!                   │━━━━━c      a along the bore  (z from the face)
//!                   │ ╲          φ = 0 at the tip on the face, 90° at the tip in the bore
//!                   a   ╲        place of the front at φ: x = c cos φ, z = a sin φ
//! ```
//!
//! [`equations`] are the published fits for remote tension; [`weight`] gives the stress intensity
//! of any stress over the crack plane as a ratio to them; [`field`] is the residual field over the plane;
//! [`parts`] reads K along a front from the table of influence coefficients or from the equations;
//! [`intensity`] keeps K on a grid of sizes; [`tips`] is what both tips see of a load, contact included;
//! [`growth`] grows them and the through crack that follows; [`band`] says how uncertain the life is, `surface` reads
//! many drawn lives from few.
//!
//! Stress intensity in MPa√mm, lengths in mm, angles in degrees at the interface.

pub mod band;
pub mod equations;
pub mod field;
pub mod front_life;
pub mod growth;
pub mod intensity;
pub mod parts;
mod surface;
pub mod tips;
pub mod weight;
