//! The plate as drawn: outline, holes, and the distances that decide whether a hole fits.
//!
//! Lengths in mm, angles in radians, counter-clockwise from +x.
//!
//! Floor 1.

pub mod fit;
pub mod hole;
pub mod plate;
pub mod ray;
