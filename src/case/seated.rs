//! A bush that stages have put in, as far as later stages ask about it.

/// A bush in a hole.
#[derive(Clone, Debug)]
pub(super) struct Seated {
    /// Index of the hole.
    pub(super) hole: usize,
    /// Outer diameter before it was put in, mm.
    pub(super) outer_diameter: f64,
    /// Whether it lies in the hole with play.
    pub(super) loose: bool,
    /// Whether it has a metal of its own.
    pub(super) own_metal: bool,
    /// Coefficient of thermal expansion of its metal, when the case gives it.
    pub(super) expansion: Option<f64>,
}
