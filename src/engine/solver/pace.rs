//! How long the next increment of a phase is.
//!
//! Increments are as long as planned, shorter after a failure, and grow back. As a tool that
//! shrinks away lets go of the hole, the last contact is on one side: what happens then goes by
//! quickly and bends a near edge. Below a fifth of the largest pressure an increment therefore ends
//! where the first node opens, and those after it halve the pressure, as far as the last increment
//! tells.
//!
//! A mandrel that is drawn is followed closely where its edges pass the faces of the part, and in longer increments elsewhere;
//! those end where the close ones begin.

use crate::solver::prescribed::Drive;

/// Growth after an easy increment, up to the planned size.
const GROWTH: f64 = 1.5;

/// Share of the largest contact pressure of the phase below which a tool is about to let go.
const LETTING_GO: f64 = 0.2;

/// Shortest increment, over the planned one, that the end of contact is followed with.
const SHORTEST: f64 = 1.0 / 16.0;

/// Turn of the strain in an increment, over the strain at which metal yields, from which it is taken in halves.
const TURNS: f64 = 0.4;

/// The same over the turn in the increment before.
const RISE: f64 = 1.3;

/// Shortest increment, over the planned one, that a turn is followed with.
const SHORTEST_TURN: f64 = 0.25;

/// Difference of shares that is none.
const ROUNDING: f64 = 1e-12;

/// Contact of the tool that a phase is to free the hole of.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Grip {
    /// Nodes that touch.
    pub(crate) touching: usize,
    /// Smallest contact pressure of those, MPa.
    pub(crate) least: f64,
    /// Largest contact pressure, MPa.
    pub(crate) most: f64,
}

/// Sizes of the increments of one phase, as shares of it.
#[derive(Clone, Debug)]
pub(crate) struct Pace {
    planned: f64,
    /// The longest increment: that planned, or one that may leap.
    longest: f64,
    step: f64,
    /// Share beyond which no increment goes now.
    stop: f64,
    /// Largest contact pressure so far, MPa, and most nodes that touched.
    largest: f64,
    all: usize,
    /// Largest turn of the strain in the last increment, over the strain at which metal yields.
    turn: f64,
    /// Contact after the last increment, and how fast its pressures fall by unit of the share.
    now: Grip,
    fall: [f64; 2],
}

impl Pace {
    /// The pace of a phase of `planned` increments that begins with this contact; with `leaps` it
    /// may begin with the whole phase at once.
    pub(crate) fn new(planned: f64, leaps: bool, now: Grip) -> Self {
        let longest = if leaps { 1.0 } else { planned };
        let (largest, all) = (now.most, now.touching);
        Self {
            planned,
            longest,
            step: longest,
            stop: 1.0,
            largest,
            all,
            turn: f64::INFINITY,
            now,
            fall: [0.0; 2],
        }
    }

    /// Share at which the increment that begins at `share` ends.
    pub(crate) fn target(&self, share: f64) -> f64 {
        let remains = 1.0 - share;
        let step = self.step.min(self.until_open()).min(self.stop - share);
        // A sliver of a last increment is merged into this one.
        if step >= remains * (1.0 - 1e-9) { 1.0 } else { share + step }
    }

    /// Sets the longest increment from `share` on, where that depends on it.
    pub(crate) fn follow(&mut self, share: f64, Drive { close, elsewhere, .. }: &Drive) {
        if close.is_empty() {
            return;
        }
        let next = close.iter().find(|[_, to]| *to > share + ROUNDING);
        let inside = next.is_some_and(|[from, _]| *from <= share + ROUNDING);
        let before = self.longest;
        self.longest = if inside { self.planned } else { elsewhere * self.planned };
        // One that a failure has made shorter grows back as usual.
        let whole = self.step >= before * (1.0 - ROUNDING);
        self.step = if whole { self.longest } else { self.step.min(self.longest) };
        self.stop = next.filter(|_| !inside).map_or(1.0, |[from, _]| *from);
    }

    /// Whether an increment of `size` is longer than planned, by more than a rounding.
    pub(crate) fn leaps(&self, size: f64) -> bool {
        size > self.planned * (1.0 + 1e-6)
    }

    /// A leap of `size` turned out to yield.
    pub(crate) fn no_leap(&mut self, size: f64) {
        self.longest = (0.5 * size).max(self.planned);
        self.step = self.longest;
    }

    /// An increment of `size` failed.
    pub(crate) fn halve(&mut self, size: f64) {
        self.step = 0.5 * size;
    }

    /// An increment was easy.
    pub(crate) fn grow(&mut self) {
        self.step = (self.step * GROWTH).min(self.longest);
    }

    /// Whether an increment of `size`, in which the strain turned by `turn` over the strain at which metal yields, is to be
    /// taken in halves. It turns less from one to the next, until a ligament yields through.
    pub(crate) fn turns(&mut self, size: f64, turn: f64) -> bool {
        let shorter = (0.5 * size).max(SHORTEST_TURN * self.planned);
        if turn > TURNS && turn > RISE * self.turn && shorter < size * (1.0 - ROUNDING) {
            self.step = shorter;
            return true;
        }
        self.turn = if turn > 0.0 { turn } else { f64::INFINITY };
        false
    }

    /// An increment of `size` was taken and left this contact of a tool that shrinks away.
    pub(crate) fn note_grip(&mut self, size: f64, grip: Grip) {
        self.fall = [self.now.most - grip.most, self.now.least - grip.least].map(|by| by / size);
        self.now = grip;
        self.largest = self.largest.max(grip.most);
        self.all = self.all.max(grip.touching);
    }

    /// Longest increment that follows the end of contact.
    fn until_open(&self) -> f64 {
        let (Grip { touching, least, most }, [fall, fall_of_least]) = (self.now, self.fall);
        if fall <= 0.0 || most <= 0.0 {
            return f64::INFINITY;
        }
        let to_the_last_part = (most - LETTING_GO * self.largest) / fall;
        if to_the_last_part >= 0.5 * self.planned {
            return to_the_last_part;
        }
        let half = 0.5 * most / fall;
        let first = if touching == self.all && fall_of_least > 0.0 {
            least / fall_of_least
        } else {
            f64::INFINITY
        };
        half.min(first).max(SHORTEST * self.planned)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn increments_shrink_as_a_tool_lets_go() {
        // Pressure falls from 100 by 1000 per unit of the share: contact ends at 0.1.
        let grip = |share: f64| {
            let most = (100.0 - 1000.0 * share).max(0.0);
            Grip { touching: 8, least: most, most }
        };
        let mut pace = Pace::new(0.03, false, grip(0.0));
        let (mut share, mut sizes) = (0.0, Vec::new());
        while share < 0.1 - 1e-12 && sizes.len() < 100 {
            let target = pace.target(share);
            pace.note_grip(target - share, grip(target));
            sizes.push(target - share);
            share = target;
        }
        let shortest = SHORTEST * 0.03;
        let expected = [0.03, 0.03, 0.02, 0.01, 0.005, 0.0025, shortest, shortest];
        assert_eq!(sizes.len(), expected.len(), "{sizes:?}");
        for (size, expected) in sizes.iter().zip(expected) {
            assert!((size - expected).abs() < 1e-12, "{sizes:?}");
        }
    }

    #[test]
    fn an_increment_ends_where_the_first_node_opens() {
        // The largest pressure ends at 0.1, the smallest at 0.085.
        let grip = |share: f64| Grip {
            touching: if share < 0.085 { 8 } else { 5 },
            least: (85.0 - 1000.0 * share).max(0.0),
            most: 100.0 - 1000.0 * share,
        };
        let mut pace = Pace::new(0.03, false, grip(0.0));
        pace.note_grip(0.05, grip(0.05));
        pace.note_grip(0.03, grip(0.08));
        let target = pace.target(0.08);
        assert!((target - 0.085).abs() < 1e-12, "{target}");
        pace.note_grip(0.005, grip(target));
        assert!((pace.target(target) - target - 0.0075).abs() < 1e-12, "half of the pressure");
    }

    #[test]
    fn increments_are_long_outside_of_what_is_followed_closely() {
        let drive =
            Drive { close: vec![[0.2, 0.4], [0.35, 0.5]], elsewhere: 2.0, ..Drive::default() };
        let mut pace = Pace::new(0.05, false, Grip::default());
        let (mut share, mut ends) = (0.0, Vec::new());
        while share < 1.0 && ends.len() < 100 {
            pace.follow(share, &drive);
            share = pace.target(share);
            ends.push(share);
        }
        let expected = [0.1, 0.2, 0.25, 0.3, 0.35, 0.4, 0.45, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0];
        assert_eq!(ends.len(), expected.len(), "{ends:?}");
        for (end, expected) in ends.iter().zip(expected) {
            assert!((end - expected).abs() < 1e-9, "{ends:?}");
        }
        // A failure halves a long one, which then grows back.
        pace.halve(0.1);
        pace.follow(0.6, &drive);
        assert!((pace.target(0.6) - 0.65).abs() < 1e-12);
        pace.grow();
        pace.follow(0.65, &drive);
        assert!((pace.target(0.65) - 0.725).abs() < 1e-12);
    }

    #[test]
    fn an_increment_in_which_the_strain_turns_is_taken_in_halves() {
        let mut pace = Pace::new(0.2, false, Grip::default());
        // The first turns that are known are large, and fall.
        for turn in [0.0, 1.0, 0.6, 0.3] {
            assert!(!pace.turns(0.2, turn), "{turn}");
        }
        assert!(pace.turns(0.2, 0.5), "a ligament yields through");
        assert!((pace.target(0.0) - 0.1).abs() < 1e-15);
        assert!(pace.turns(0.1, 0.45));
        assert!((pace.target(0.0) - 0.05).abs() < 1e-15);
        // A quarter of what was planned is the shortest.
        assert!(!pace.turns(0.05, 0.45));
        pace.grow();
        assert!((pace.target(0.0) - 0.075).abs() < 1e-15);
        assert!(!pace.turns(0.075, 0.5), "it turns little more than the one before");
    }

    #[test]
    fn a_phase_without_contact_goes_on_as_planned() {
        let mut pace = Pace::new(0.4, false, Grip::default());
        assert!((pace.target(0.0) - 0.4).abs() < 1e-15);
        pace.halve(0.4);
        assert!((pace.target(0.0) - 0.2).abs() < 1e-15);
        pace.grow();
        pace.grow();
        assert!((pace.target(0.2) - 0.6).abs() < 1e-15);
        assert!((pace.target(0.6) - 1.0).abs() < f64::EPSILON);
    }
}
