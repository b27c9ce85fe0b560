//! Decisions of the iteration: keep the factor, renew it, take a correction back, halve it, stop.
//!
//! The rules are apart from the loop that carries them out
//! (`newton`): a [`Controller`] sees what each iterate left out of
//! balance and answers with a [`Decision`].

use crate::solver::tangent::Precision;

/// Relative residual at which an increment is in equilibrium.
pub const RESIDUAL_TOLERANCE: f64 = 1e-8;
/// The same for a section. Its pull is a small difference of many forces: at 1e-8 the nose cap and the
/// pull differed by 2e-6 of the largest pull.
pub(crate) const SECTION_TOLERANCE: f64 = 1e-9;

/// Size of the next correction over the largest displacement change of the increment, if it were
/// smaller than the last by as much as the residual has become.
const CORRECTION_TOLERANCE: f64 = 1e-5;

/// Iterations after which a smaller increment is cheaper than going on.
pub(crate) const MOST_ITERATIONS: usize = 24;

/// The same where edges slide along each other: nodes begin to slip one after another, and friction follows the
/// pressure of the last iteration.
pub(crate) const MOST_SLIDING: usize = 72;

/// Halvings of one correction.
const MOST_HALVINGS: usize = 4;

/// Iterations that a factor may still need for its use to be worth while: a factorization with a
/// new tangent costs about as much as five corrections (`verification/performance.md`).
const WORTH_WHILE: f64 = 4.5;

/// Residual from which Newton's method is in its fast range.
const SMALL: f64 = 1e-5;

/// Relative residuals before a correction from which the iterate after it asks for a new factor more often than not, where
/// nodes come and go along a bore: after a correction with a new factor, and with an old one. Counted in the draw of
/// `docs/section.md`.
const HARDLY_ENOUGH: [f64; 2] = [3e-4, 5e-6];

/// Residual that rounding may leave.
const NOISE: f64 = 1e-10;

/// When the tangent is factorized.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scheme {
    /// A factor, in single precision, serves as long as the residual falls fast enough.
    #[default]
    Economical,
    /// Newton's method as it stands: a new tangent at every iteration, in double precision.
    Newton,
}

/// Whether rough factors are trusted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Care {
    /// As the scheme says.
    #[default]
    Usual,
    /// An increment has failed: Newton's method, in double precision, until one goes through.
    Careful,
}

/// Next action of the iteration.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Decision {
    /// The iterate is in equilibrium.
    Accept,
    /// Correct with the factor that stands.
    Keep,
    /// Make a factor of the tangent and correct with it.
    Renew(Precision),
    /// Take the last correction back; it came from an old factor and made things worse.
    TakeBack,
    /// Take half of the last correction; all of it made things much worse.
    Halve,
    /// No equilibrium was found.
    GiveUp,
}

/// An iterate as the controller sees it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    /// Relative residual.
    pub(crate) residual: f64,
    /// Relative residual that is small enough.
    pub(crate) tolerance: f64,
    /// Whether the contact status of a node changed.
    pub(crate) changed: bool,
    /// Whether every closed node lies on its tool.
    pub(crate) fits: bool,
    /// Largest displacement change of the increment, mm.
    pub(crate) movement: f64,
}

/// A correction that was made.
#[derive(Clone, Copy, Debug)]
struct Made {
    /// Relative residual before it.
    before: f64,
    /// Whether its factor was that of the tangent there.
    exact: bool,
    /// Whether it carried the prescribed motion of the increment.
    first: bool,
}

/// Decides the iterations of one increment.
#[derive(Clone, Debug)]
pub(crate) struct Controller {
    iteration: usize,
    /// Iterations after which it gives up.
    most: usize,
    /// Whether a factor may serve more than once.
    economical: bool,
    /// Whether the factor that stands serves the next iteration.
    serves: bool,
    /// Whether a new factor has already left a small residual as it was.
    doubted: bool,
    /// Size of the next correction, mm, as far as known.
    correction: f64,
    made: Option<Made>,
    halvings: usize,
    care: Care,
}

impl Controller {
    /// Begins an increment.
    pub(crate) fn new(scheme: Scheme, care: Care) -> Self {
        let economical = scheme == Scheme::Economical && care == Care::Usual;
        Self {
            iteration: 0,
            most: MOST_ITERATIONS,
            economical,
            serves: economical,
            doubted: false,
            correction: f64::INFINITY,
            made: None,
            halvings: 0,
            care,
        }
    }

    /// Asks for a factor of the first iterate, however good the one is that stands.
    pub(crate) fn begin_anew(&mut self) {
        self.serves = false;
    }

    /// Allows so many iterations.
    pub(crate) fn allow(&mut self, most: usize) {
        self.most = most;
    }

    /// Whether the iterate after the correction that was made will probably ask for a new factor, where nodes come and
    /// go along a bore: its tangent is then cheaper computed with the stresses than after them.
    pub(crate) fn expects_renewal(&self) -> bool {
        self.made.is_some_and(|made| made.before > HARDLY_ENOUGH[usize::from(!made.exact)])
    }

    /// Draws no conclusion from the residual after the next correction.
    pub(crate) fn do_not_judge(&mut self) {
        self.made = None;
    }

    /// Whether this is the first iterate, before any correction.
    pub(crate) fn is_first(&self) -> bool {
        self.iteration == 0
    }

    /// Whether the factor that stands, which belongs to the contact of the iterate when it `fits`,
    /// is to serve: stresses are then enough, and no tangent is wanted.
    pub(crate) fn serves(&mut self, fits: bool) -> bool {
        self.serves &= fits;
        self.serves
    }

    /// Goes on from an iterate that was accepted, of which the metal is now to be followed closer.
    pub(crate) fn go_on(&mut self) {
        self.iteration = 1;
        self.correction = f64::INFINITY;
        self.made = None;
    }

    /// How careful the next increment has to be.
    pub(crate) fn care(&self) -> Care {
        self.care
    }

    /// Whether corrections are to be improved by what the last ones did.
    pub(crate) fn is_economical(&self) -> bool {
        self.economical
    }

    /// Decides about the iterate at hand.
    pub(crate) fn decide(&mut self, seen: &Seen) -> Decision {
        let iteration = self.iteration;
        self.iteration += 1;
        let made = self.made.take().filter(|_| !seen.changed);
        if let Some(made) = made
            && let Some(decision) = self.judge(made, seen.residual)
        {
            return if iteration == self.most { Decision::GiveUp } else { decision };
        }
        let settled = seen.residual <= seen.tolerance
            && self.correction <= CORRECTION_TOLERANCE * seen.movement
            && seen.fits
            && !seen.changed;
        if settled {
            return Decision::Accept;
        }
        if iteration == self.most {
            return Decision::GiveUp;
        }
        let exact = !self.serves || seen.changed;
        self.made = Some(Made { before: seen.residual, exact, first: iteration == 0 });
        self.halvings = 0;
        if !exact {
            return Decision::Keep;
        }
        // A tangent that is hard to solve with may be beyond five digits.
        let single = self.economical && 2 * iteration < MOST_ITERATIONS;
        Decision::Renew(if single { Precision::Single } else { Precision::Double })
    }

    /// Books the largest displacement of the correction that was made, mm.
    pub(crate) fn corrected(&mut self, largest: f64) {
        self.correction = largest;
        self.serves = self.economical;
    }

    /// Judges the last correction by the residual after it; nothing to do when it may stand.
    fn judge(&mut self, made: Made, residual: f64) -> Option<Decision> {
        let Made { before, exact, first } = made;
        if self.halvings < MOST_HALVINGS {
            if residual > before && !exact {
                self.halvings += 1;
                self.serves = false;
                return Some(Decision::TakeBack);
            }
            if residual > 10.0 * before && residual > 1e-3 && !first {
                self.halvings += 1;
                self.made = Some(made);
                return Some(Decision::Halve);
            }
        }
        self.correction *= (residual / before).min(1.0);
        self.serves &= still_serves(before, residual);
        if self.economical && exact && !first && is_beyond(before, residual) {
            self.doubt();
        }
        None
    }

    /// A new factor did not help. Points that change from yielding to elastic do that once; the
    /// second time it is the arithmetic.
    fn doubt(&mut self) {
        self.serves = false;
        // What looked converged may not be.
        self.correction = f64::INFINITY;
        if self.doubted {
            self.economical = false;
            self.care = Care::Careful;
        }
        self.doubted = true;
    }
}

/// Whether a factor that took the residual from `before` to `after` will bring it to its tolerance
/// in fewer iterations than a new one is worth.
fn still_serves(before: f64, after: f64) -> bool {
    let to_go = (after / RESIDUAL_TOLERANCE).ln();
    let each = (before / after).ln();
    to_go <= 0.0 || to_go <= WORTH_WHILE * each
}

/// Whether the factor of a new tangent left so much of a small residual that it must be the
/// arithmetic: near a limit load, five digits are too few and a small residual says little.
fn is_beyond(before: f64, after: f64) -> bool {
    before <= SMALL && after > 0.3 * before && after > NOISE
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(residual: f64) -> Seen {
        let tolerance = RESIDUAL_TOLERANCE;
        Seen { residual, tolerance, changed: false, fits: true, movement: 1.0 }
    }

    /// A controller that has made its first correction with a new factor from residual 1.
    fn begun() -> Controller {
        let mut control = Controller::new(Scheme::Economical, Care::Usual);
        control.serves(false);
        assert_eq!(control.decide(&seen(1.0)), Decision::Renew(Precision::Single));
        control.corrected(1.0);
        control
    }

    #[test]
    fn a_factor_that_brings_the_residual_down_fast_is_kept() {
        let mut control = begun();
        assert!(control.serves(true));
        assert_eq!(control.decide(&seen(1e-3)), Decision::Keep);
        control.corrected(1e-3);
        assert_eq!(control.decide(&seen(1e-6)), Decision::Keep);
        control.corrected(1e-6);
        assert_eq!(control.decide(&seen(1e-9)), Decision::Accept);
    }

    #[test]
    fn a_factor_that_brings_it_down_slowly_is_renewed() {
        let mut control = begun();
        assert_eq!(control.decide(&seen(0.5)), Decision::Renew(Precision::Single));
    }

    #[test]
    fn a_factor_of_another_contact_is_renewed() {
        let mut control = begun();
        assert!(!control.serves(false));
        assert_eq!(control.decide(&seen(1e-3)), Decision::Renew(Precision::Single));
        control.corrected(1e-3);
        let changed = Seen { changed: true, ..seen(1e-9) };
        assert_eq!(control.decide(&changed), Decision::Renew(Precision::Single));
    }

    #[test]
    fn a_correction_with_an_old_factor_that_made_things_worse_is_taken_back() {
        let mut control = begun();
        assert_eq!(control.decide(&seen(1e-3)), Decision::Keep);
        control.corrected(1e-3);
        assert_eq!(control.decide(&seen(2e-3)), Decision::TakeBack);
        assert!(!control.serves(true));
        assert_eq!(control.decide(&seen(1e-3)), Decision::Renew(Precision::Single));
    }

    #[test]
    fn a_new_correction_that_made_things_much_worse_is_halved_four_times() {
        let mut control = begun();
        assert_eq!(control.decide(&seen(0.5)), Decision::Renew(Precision::Single));
        control.corrected(1.0);
        for _ in 0..MOST_HALVINGS {
            assert_eq!(control.decide(&seen(50.0)), Decision::Halve);
        }
        assert!(matches!(control.decide(&seen(50.0)), Decision::Renew(_)));
    }

    #[test]
    fn a_small_residual_that_stays_twice_asks_for_newtons_method() {
        let mut control = begun();
        for expected in [Precision::Single, Precision::Single, Precision::Double] {
            control.serves(false);
            assert_eq!(control.decide(&seen(9e-6)), Decision::Renew(expected));
            control.corrected(1e-3);
        }
        assert_eq!(control.care(), Care::Careful);
    }

    #[test]
    fn a_new_factor_is_expected_after_a_correction_from_far_off() {
        for (before, expected) in [([1e-3, 1e-5], true), ([1e-4, 1e-6], false)] {
            let mut control = Controller::new(Scheme::Economical, Care::Usual);
            control.serves(false);
            control.decide(&seen(before[0]));
            control.corrected(1.0);
            assert_eq!(control.expects_renewal(), expected);
            control.do_not_judge();
            assert_eq!(control.decide(&seen(before[1])), Decision::Keep);
            assert_eq!(control.expects_renewal(), expected);
        }
    }

    #[test]
    fn forces_in_balance_are_not_enough_while_displacements_move() {
        let mut control = begun();
        control.correction = 1e6;
        assert_eq!(control.decide(&seen(1e-9)), Decision::Keep);
        let apart = Seen { fits: false, ..seen(1e-12) };
        control.corrected(1e-9);
        assert_eq!(control.decide(&apart), Decision::Keep);
    }

    #[test]
    fn it_gives_up_after_the_last_iteration() {
        let mut control = Controller::new(Scheme::Newton, Care::Usual);
        for _ in 0..MOST_ITERATIONS {
            assert_eq!(control.decide(&seen(0.1)), Decision::Renew(Precision::Double));
            control.corrected(1.0);
        }
        assert_eq!(control.decide(&seen(0.1)), Decision::GiveUp);
    }
}
