//! Out-of-balance forces of an iterate.
//!
//! The sum of absolute out-of-balance forces over the sum over elements of their absolute
//! nodal forces. That reference does not vanish when tool and load are gone, because the
//! residual stresses are exactly what it measures.

use crate::solver::contact::Drag;

/// Out-of-balance forces of one iterate.
#[derive(Clone, Debug, Default)]
pub(crate) struct Residual {
    /// External less internal, by degree of freedom, in the frames of the nodes.
    pub(crate) force: Vec<f64>,
    /// The part of it that is out of balance: nothing where it is held or carried by a tool.
    pub(crate) free: Vec<f64>,
    /// The measure of all of them; see the head of this module.
    pub(crate) relative: f64,
    /// Degree of freedom with the largest one.
    pub(crate) worst: usize,
    /// Sum of the friction forces on the sliding nodes of every tool `[x, y]`, N.
    pub(crate) dragged: Vec<[f64; 2]>,
    /// Forces that pairs of nodes put on each other, by node `[x, y]`, N; empty without any.
    pub(super) passed: Vec<[f64; 2]>,
    /// How tools hold the node of each place.
    pub(super) hold: Vec<Hold>,
}

/// How a tool holds a node.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) enum Hold {
    /// Not at all.
    #[default]
    Free,
    /// Along the normal, with friction against sliding: its coefficient by pressure is asked of the
    /// tool with this index, at this place among its nodes.
    Normal(Drag, usize, usize),
    /// In both directions.
    Both,
}
