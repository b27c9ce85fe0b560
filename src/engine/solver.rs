//! Equilibrium of the plate under tool and load, one increment at a time.
//!
//! ```text
//! f(u) = external + Σ λᵢ nᵢ        gᵢ ≥ 0, λᵢ ≥ 0, gᵢ λᵢ = 0 at every node of the hole edge
//! ```
//!
//! The displacements and a few more unknowns make a bordered system: for every tool its centre
//! (two) and its radius when it is elastic, and the uniform strain through the thickness of
//! generalised plane strain. The normal displacement of a node in contact is eliminated
//! exactly; there is no penalty number, and the matrix stays positive definite.
//!
//! Floor 4.

mod acceleration;
pub mod assembly;
mod bend;
pub mod bordered;
mod cauchy;
pub mod contact;
mod control;
mod corners;
mod correction;
mod elements;
mod equations;
pub mod factor;
mod frame;
pub mod friction;
mod hanging;
pub mod increment;
pub mod increment_error;
mod joint;
pub mod layer;
pub mod mated;
mod mated_contact;
pub mod newton;
mod out_of_balance;
mod pace;
mod parts;
mod path_work;
pub mod pattern;
pub mod prescribed;
mod residual;
mod seat;
mod settle;
mod slide;
pub mod sliding;
pub mod state;
mod status;
mod step;
mod support_force;
pub mod supports;
pub mod surface;
mod switching;
pub mod symbolic;
pub mod system;
pub mod system_error;
pub mod tables;
mod tangent;
mod workspace;
