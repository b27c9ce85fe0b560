//! How a service load goes: between a highest and a lowest share of the stated load.

use serde::{Deserialize, Serialize};

/// Equal cycles, one after the other: up (or down) to `highest`, then to `lowest`.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Block {
    /// Highest load, as a share of the stated one; above `lowest`.
    pub highest: f64,
    /// Lowest load, as a share of the stated one; negative turns the load round.
    pub lowest: f64,
    /// How often.
    pub cycles: usize,
}

/// The course of a service load. It starts from no load and ends there.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Program {
    /// Blocks of equal cycles, without unloading in between.
    Blocks(Vec<Block>),
    /// Turning points in order, gone through `repeats` times.
    Spectrum {
        /// Shares of the stated load.
        turns: Vec<f64>,
        /// How often the whole list.
        repeats: usize,
    },
}

/// One turning point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Share of the stated load.
    pub load: f64,
    /// Cycle of a block or pass of a spectrum that it belongs to, counted over the stage from 1.
    pub period: usize,
    /// Block that it belongs to, from 1; all of a spectrum is one.
    pub block: usize,
}

impl Program {
    /// All turning points in order; the way from and to no load is not among them.
    #[must_use]
    pub fn turns(&self) -> Vec<Turn> {
        let mut turns = Vec::new();
        match self {
            Self::Blocks(blocks) => {
                let mut period = 0;
                for (index, block) in blocks.iter().enumerate() {
                    for _ in 0..block.cycles {
                        period += 1;
                        let turn = |load| Turn { load, period, block: index + 1 };
                        turns.extend([turn(block.highest), turn(block.lowest)]);
                    }
                }
            }
            Self::Spectrum { turns: loads, repeats } => {
                for period in 1..=*repeats {
                    turns.extend(loads.iter().map(|&load| Turn { load, period, block: 1 }));
                }
            }
        }
        turns
    }

    /// Turning points, counted.
    #[must_use]
    pub fn reversals(&self) -> usize {
        match self {
            Self::Blocks(blocks) => 2 * blocks.iter().map(|block| block.cycles).sum::<usize>(),
            Self::Spectrum { turns, repeats } => turns.len() * repeats,
        }
    }

    /// Highest and lowest share of the load, `[highest, lowest]`; no load counts.
    #[must_use]
    pub fn extremes(&self) -> [f64; 2] {
        let widen = |[high, low]: [f64; 2], load: f64| [high.max(load), low.min(load)];
        match self {
            Self::Blocks(blocks) => {
                let loads = blocks.iter().flat_map(|block| [block.highest, block.lowest]);
                loads.fold([0.0; 2], widen)
            }
            Self::Spectrum { turns, .. } => turns.iter().copied().fold([0.0; 2], widen),
        }
    }

    /// The turning point of the last period that is kept as a snapshot, an index into
    /// [`Program::turns`]: that of the highest load, or of the lowest when the highest is none.
    #[must_use]
    pub fn shown(&self) -> Option<usize> {
        let turns = self.turns();
        let last = turns.last()?.period;
        let of_last = || turns.iter().enumerate().filter(|(_, turn)| turn.period == last);
        let highest = of_last().reduce(|a, b| if b.1.load > a.1.load { b } else { a })?;
        if highest.1.load != 0.0 {
            return Some(highest.0);
        }
        of_last().reduce(|a, b| if b.1.load < a.1.load { b } else { a }).map(|(index, _)| index)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_follow_each_other_and_periods_count_on() {
        let block = |highest, lowest, cycles| Block { highest, lowest, cycles };
        let program = Program::Blocks(vec![block(1.0, 0.1, 2), block(0.0, -0.8, 1)]);
        let turns = program.turns();
        let loads: Vec<f64> = turns.iter().map(|turn| turn.load).collect();
        assert_eq!(loads, [1.0, 0.1, 1.0, 0.1, 0.0, -0.8]);
        let periods: Vec<usize> = turns.iter().map(|turn| turn.period).collect();
        assert_eq!(periods, [1, 1, 2, 2, 3, 3]);
        assert_eq!(program.reversals(), 6);
        // The highest load of the last cycle is none at all, so its lowest is shown.
        assert_eq!(program.shown(), Some(5));
    }

    #[test]
    fn a_spectrum_is_gone_through_as_often_as_said() {
        let program = Program::Spectrum { turns: vec![0.8, -0.2, 1.0, 0.3], repeats: 2 };
        assert_eq!(program.reversals(), program.turns().len());
        assert_eq!(program.shown(), Some(6));
        assert!(program.extremes().iter().zip([1.0, -0.2]).all(|(a, b)| (a - b).abs() < 1e-15));
    }
}
