//! From measurement to model: least squares, and how well the data tell each unknown.
//!
//! [`metal`] finds the constants of a metal from tests of a bar. [`least_squares`](mod@least_squares),
//! [`certainty`] and [`statistics`] serve other measurements as well.
//!
//! Floor 2.

pub mod certainty;
pub mod control_chart;
pub mod groups;
pub mod least_squares;
pub mod metal;
pub mod record;
pub mod starts;
pub mod statistics;
