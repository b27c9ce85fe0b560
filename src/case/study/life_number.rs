//! Numbers of a study that are lives: cycles, or the factor that the expansion is worth.

use crate::case::complaint::Complaint;
use crate::case::table::Table;

/// Which crack lives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CrackKind {
    /// A through crack.
    Through,
    /// A part-through crack, a quarter ellipse at the corner of the hole unless the case says otherwise.
    Corner,
}

/// Which of its numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LifeNumber {
    /// Cycles of the plain hole.
    Plain,
    /// Cycles of the expanded hole.
    Expanded,
    /// The second over the first.
    Factor,
}

/// A number of the shortest life of the case; it has none where that life has no end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LifeReading {
    /// The measure of the key list.
    pub measure: &'static str,
    /// The crack.
    pub crack: CrackKind,
    /// The number.
    pub number: LifeNumber,
}

impl LifeReading {
    /// The reading of a measure of the key list; `None` for one that is read from a state.
    #[must_use]
    pub fn of(measure: &'static str) -> Option<Self> {
        let (crack, rest) = match measure.strip_prefix("corner_") {
            Some(rest) => (CrackKind::Corner, rest),
            None => (CrackKind::Through, measure),
        };
        let number = match rest {
            "plain_life" => LifeNumber::Plain,
            "expanded_life" => LifeNumber::Expanded,
            "life_factor" => LifeNumber::Factor,
            _ => return None,
        };
        Some(Self { measure, crack, number })
    }

    /// Its unit; empty for none.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match self.number {
            LifeNumber::Plain | LifeNumber::Expanded => "cycles",
            LifeNumber::Factor => "",
        }
    }

    /// Its meaning.
    #[must_use]
    pub fn meaning(self) -> String {
        let crack = match self.crack {
            CrackKind::Through => "through crack",
            CrackKind::Corner => "part-through crack",
        };
        let number = match self.number {
            LifeNumber::Plain => "cycles of the plain hole",
            LifeNumber::Expanded => "cycles of the expanded hole",
            LifeNumber::Factor => "life of the expanded hole over that of the plain one",
        };
        format!(
            "{number}, {crack}, each hole at the place where it lives shortest; none when there is no end"
        )
    }
}

/// Refuses keys that a life has no use for, and a base case without `[life]`.
pub(super) fn read_life(
    table: &Table<'_>,
    reading: LifeReading,
    has_life: bool,
) -> Result<LifeReading, Complaint> {
    let measure = reading.measure;
    if !has_life {
        let problem = format!("`{measure}` needs lives, and the base case has no [life]");
        return Err(table.stray("measure", problem, "write [life] in the base case"));
    }
    let of_a_state = ["stage", "hole", "path", "towards", "edge", "distance", "level"];
    if let Some(stray) = of_a_state.into_iter().find(|key| table.has(key)) {
        let problem = format!("`{measure}` has no `{stray}`: it is that of the shortest life");
        return Err(table.stray(stray, problem, format!("leave out `{stray}`")));
    }
    Ok(reading)
}
