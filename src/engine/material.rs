//! The metal: elasticity, yield, hardening, and the return maps that integrate them.
//!
//! A material is a pure function of old state and strain. Stresses in MPa.
//!
//! Floor 1.

pub mod backstress;
pub mod bar;
pub(crate) mod bend;
pub mod bracket;
pub mod constant;
pub mod elasticity;
pub mod hardening;
pub(crate) mod history;
pub mod hot;
pub mod idealisation;
pub(crate) mod lanes;
pub(crate) mod law;
pub mod library;
pub mod logarithmic;
mod modes;
pub(crate) mod path;
pub mod plane_stress;
pub mod return_map;
pub(crate) mod search;
pub mod specimen;
pub mod state;
pub mod strains;
