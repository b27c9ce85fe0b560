//! Carried along deflated: the table of corner cracks here, fonts and texts in the program.
//!
//! Floor 0.

use std::io::Read as _;

use flate2::read::ZlibDecoder;

/// Bytes as they were before a build script or a script of this repository packed them.
///
/// # Panics
/// When they were not packed whole, which a test of every caller shows.
#[must_use]
pub fn inflated(packed: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    ZlibDecoder::new(packed).read_to_end(&mut bytes).expect("the bytes were packed whole");
    bytes
}
