//! A share of the cases of a study, as `--shard K/N` names it.

use crate::study::sweep::WorkList;

/// A share of a study: number from 1, of how many.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Shard {
    /// Its number, from 1.
    pub(crate) number: usize,
    /// How many there are.
    pub(crate) of: usize,
}

/// Reads `K/N`.
pub(crate) fn shard(text: &str) -> Result<Shard, String> {
    let wrong = || "write it as 3/10: number from 1, a stroke, how many".to_owned();
    let (number, of) = text.split_once('/').ok_or_else(wrong)?;
    match (number.parse(), of.parse()) {
        (Ok(number), Ok(of)) if number >= 1 && number <= of => Ok(Shard { number, of }),
        _ => Err(wrong()),
    }
}

impl Shard {
    /// Which cases belong to it: every `of`-th unit of the work list.
    pub(crate) fn cases(self, list: &WorkList, cases: usize) -> Vec<bool> {
        let mut own = vec![false; cases];
        for unit in (self.number - 1..list.len()).step_by(self.of) {
            list.unit(unit).into_iter().for_each(|case| own[case] = true);
        }
        own
    }
}
