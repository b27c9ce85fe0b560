//! The arithmetics a factor can be kept in.

use std::ops::{Add, AddAssign, Div, Mul, Sub, SubAssign};

use faer::traits::RealField;

/// Single or double precision.
pub trait Scalar:
    RealField
    + Copy
    + Default
    + Send
    + Sync
    + std::fmt::Debug
    + Add<Output = Self>
    + Sub<Output = Self>
    + Mul<Output = Self>
    + Div<Output = Self>
    + AddAssign
    + SubAssign
    + 'static
{
    /// Zero.
    const ZERO: Self;
    /// One.
    const ONE: Self;
    /// Minus one.
    const MINUS_ONE: Self;
    /// The nearest number to `value`.
    fn of(value: f64) -> Self;
    /// The number in double precision.
    fn value(self) -> f64;
}

impl Scalar for f64 {
    const ZERO: Self = 0.0;
    const ONE: Self = 1.0;
    const MINUS_ONE: Self = -1.0;
    fn of(value: f64) -> Self {
        value
    }
    fn value(self) -> f64 {
        self
    }
}

impl Scalar for f32 {
    const ZERO: Self = 0.0;
    const ONE: Self = 1.0;
    const MINUS_ONE: Self = -1.0;
    #[allow(clippy::cast_possible_truncation, reason = "rounding to single precision is the point")]
    fn of(value: f64) -> Self {
        value as Self
    }
    fn value(self) -> f64 {
        f64::from(self)
    }
}
