//! The plate as drawn: outline, holes, and the distances that decide whether a hole fits.
//!
//! Lengths in mm, angles in radians, counter-clockwise from +x.
//!
//! Floor 1.

pub mod arc;
pub mod draw;
pub mod fit;
pub mod hole;
pub mod mandrel;
pub mod meet;
pub mod mirror;
pub mod outline;
pub mod piece;
pub mod plate;
pub mod ray;
pub mod roundness;
pub mod sound;
