//! Frames of the nodes that a tool can touch: normal and tangential.

/// Turns a vector into the frame with first axis `normal` and second axis a quarter turn on.
#[must_use]
pub(crate) fn into_frame(vector: [f64; 2], normal: [f64; 2]) -> [f64; 2] {
    [normal[0] * vector[0] + normal[1] * vector[1], normal[0] * vector[1] - normal[1] * vector[0]]
}

/// Turns a vector back from that frame.
#[must_use]
pub(crate) fn out_of_frame(vector: [f64; 2], normal: [f64; 2]) -> [f64; 2] {
    [normal[0] * vector[0] - normal[1] * vector[1], normal[1] * vector[0] + normal[0] * vector[1]]
}
