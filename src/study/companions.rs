//! The solutions that stand beside that of a case: bounding hardening laws, the plain part, other idealisations.

use std::sync::atomic::AtomicBool;

use crate::case::Case;
use crate::solver::tables::FoldedElement;
use crate::study::bracket::{Bounds, bounding_states};
use crate::study::idealisations::{Idealisations, idealisations};
use crate::study::last_state::Shelf;
use crate::study::plain_hole::{PlainHole, plain_hole};

/// One kind of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Companion {
    /// The bounding hardening laws.
    Bounds,
    /// The plain part under the same loads.
    PlainHole,
    /// The other idealisations.
    Idealisations,
}

/// All of them that a case asks for.
#[derive(Debug, Default)]
pub struct Companions {
    /// Last states under the bounding laws.
    pub bounds: Bounds,
    /// The plain part.
    pub plain: PlainHole,
    /// Last states in the other idealisations.
    pub idealisations: Idealisations,
    /// Whether `stop` was raised, so that what is missing was not solved.
    pub interrupted: bool,
}

impl Companions {
    /// Solves them one after the other. `begins` and `ends` hear of each that the case asks for.
    ///
    /// # Errors
    ///
    /// [`FoldedElement`] when a state stands on a mesh that cannot be read.
    pub fn solve(
        case: &Case,
        stop: &AtomicBool,
        shelf: &dyn Shelf,
        begins: impl Fn(Companion),
        mut ends: impl FnMut(Companion),
    ) -> Result<Self, FoldedElement> {
        let mut all = Self::default();
        if case.bracket {
            begins(Companion::Bounds);
            match bounding_states(case, stop, |_| true, shelf) {
                Some(bounds) => all.bounds = bounds,
                None => all.interrupted = true,
            }
            ends(Companion::Bounds);
        }
        if case.plain_hole && !all.interrupted {
            begins(Companion::PlainHole);
            all.plain = plain_hole(case, stop, shelf);
            all.interrupted = matches!(all.plain, PlainHole::Interrupted);
            ends(Companion::PlainHole);
        }
        if case.idealisations && !all.interrupted {
            begins(Companion::Idealisations);
            match idealisations(case, stop, shelf)? {
                Some(found) => all.idealisations = found,
                None => all.interrupted = true,
            }
            ends(Companion::Idealisations);
        }
        Ok(all)
    }

    /// A line for each that is missing.
    #[must_use]
    pub fn troubles(&self) -> Vec<String> {
        let plain = self.plain.trouble().map(str::to_owned);
        self.bounds
            .missing
            .iter()
            .chain(&self.idealisations.missing)
            .cloned()
            .chain(plain)
            .collect()
    }
}
