//! Small numerical tools that know nothing of mechanics.
//!
//! Floor 0.

pub mod chebyshev;
pub(crate) mod embedded;
pub mod gauss;
pub mod monotone;
pub mod nearest;
pub(crate) mod power;
pub mod profile;
pub mod quadrature;
pub mod random;
pub mod richardson;
pub mod root;
pub mod runge_kutta;
pub(crate) mod whole;
