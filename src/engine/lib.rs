//! Elastic-plastic finite elements in two dimensions for cold-expanded holes, from the metal at a point to the stages of a
//! hole's life, the stress that they leave and the growth of cracks in it. The engine reads no case file and draws
//! nothing; the program round it does both, and hands these modules on under its own name.
//!
//! Inside there is one system of units: mm, N, MPa, radians. Tension is positive, contact pressure is positive in
//! compression, angles are counter-clockwise from +x.
//!
//! Data flows one way: a module imports from lower floors only. The table of the floors stands on the page of hoopset.

pub mod element;
pub mod fatigue;
pub mod fit;
pub mod fracture;
pub mod geometry;
pub mod material;
pub mod mesh;
pub mod numeric;
pub mod packed;
pub mod process;
pub mod result;
pub mod solver;
pub mod tensor;
pub mod theory;
pub mod units;
