//! A crack opened in the mesh: nodes of a mirror line are let go, and the stress intensity is
//! read from the fields round its tip.
//!
//! This is the slow and independent way to a stress intensity. It holds for any plate and any
//! residual stress that the mesh can show, but only for cracks on a mirror line of the model;
//! `fatigue` has the quick one, by weight functions, and is held against it.
//!
//! Floor 6.

pub mod crack_error;
pub mod interaction;
pub mod line;
pub mod opened;
pub mod tip_field;
