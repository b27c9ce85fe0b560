//! Load sequence: blocks of cycles in order, repeated until the end.

use std::fmt;

use serde::Serialize;

use crate::fatigue::cycle::StressCycle;
use crate::fatigue::rainflow::CountedCycle;

/// Equal cycles in a row.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Block {
    /// The cycle of remote stress.
    pub cycle: StressCycle,
    /// How many; halves of rainflow counts are allowed.
    pub count: f64,
}

/// Blocks in order: one pass, repeated.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LoadSequence {
    blocks: Vec<Block>,
    /// Places of the blocks with the highest maximum and the lowest minimum.
    extreme: [usize; 2],
}

/// A sequence that cannot load anything.
#[derive(Clone, Copy, Debug, PartialEq)]
#[non_exhaustive]
pub enum SequenceError {
    /// No block at all.
    Empty,
    /// A stress that is not finite or a count that is not positive; blocks count from 1.
    BadBlock {
        /// Number of the block.
        block: usize,
    },
}

impl fmt::Display for SequenceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => f.write_str("a load sequence needs at least one block"),
            Self::BadBlock { block } => {
                write!(f, "block {block} needs finite stresses and a positive count")
            }
        }
    }
}

impl std::error::Error for SequenceError {}

impl LoadSequence {
    fn checked(blocks: Vec<Block>) -> Self {
        let (mut high, mut low) = (0, 0);
        for (k, block) in blocks.iter().enumerate() {
            if block.cycle.maximum() > blocks[high].cycle.maximum() {
                high = k;
            }
            if block.cycle.minimum() < blocks[low].cycle.minimum() {
                low = k;
            }
        }
        Self { blocks, extreme: [high, low] }
    }

    /// One pass of `blocks`.
    ///
    /// # Errors
    /// [`SequenceError`].
    pub fn new(blocks: Vec<Block>) -> Result<Self, SequenceError> {
        if blocks.is_empty() {
            return Err(SequenceError::Empty);
        }
        let bad = |b: &Block| !(b.cycle.is_finite() && b.count > 0.0 && b.count.is_finite());
        match blocks.iter().position(bad) {
            Some(at) => Err(SequenceError::BadBlock { block: at + 1 }),
            None => Ok(Self::checked(blocks)),
        }
    }

    /// The same cycle for ever: each pass is one cycle.
    ///
    /// # Errors
    /// [`SequenceError`] for a stress that is not finite.
    pub fn constant(cycle: StressCycle) -> Result<Self, SequenceError> {
        Self::new(vec![Block { cycle, count: 1.0 }])
    }

    /// Cycles counted from a spectrum, in the order in which they close; values times `factor`.
    /// A cycle without range does nothing and is left out.
    ///
    /// # Errors
    /// [`SequenceError`].
    pub fn counted(cycles: &[CountedCycle], factor: f64) -> Result<Self, SequenceError> {
        Self::new(
            cycles
                .iter()
                .map(|counted| Block {
                    cycle: StressCycle::between(counted.from, counted.to).scaled(factor),
                    count: counted.count,
                })
                .filter(|block| block.cycle.range().0 != 0.0)
                .collect(),
        )
    }

    /// The blocks of one pass.
    #[must_use]
    pub fn blocks(&self) -> &[Block] {
        &self.blocks
    }

    /// Cycles in one pass.
    #[must_use]
    pub fn cycles_in_pass(&self) -> f64 {
        self.blocks.iter().map(|block| block.count).sum()
    }

    /// The block with the highest maximum, the first of equals.
    #[must_use]
    pub fn severest(&self) -> &Block {
        &self.blocks[self.extreme[0]]
    }

    /// The block with the lowest minimum, the first of equals.
    #[must_use]
    pub fn lowest(&self) -> &Block {
        &self.blocks[self.extreme[1]]
    }

    /// Lowest and highest stress of the sequence, MPa.
    #[must_use]
    pub fn extremes(&self) -> [f64; 2] {
        [self.lowest().cycle.minimum(), self.severest().cycle.maximum()]
    }

    /// Every stress times `factor`.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let blocks = self
            .blocks
            .iter()
            .map(|block| Block { cycle: block.cycle.scaled(factor), ..*block })
            .collect();
        // A negative factor turns the order of the extremes round.
        Self::checked(blocks)
    }
}
