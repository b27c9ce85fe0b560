//! One step of a system of ordinary differential equations, fifth order, with an estimate of its error and what lies
//! within it.
//!
//! Source: J. R. Dormand, P. J. Prince, J. Comput. Appl. Math. 6 (1980) 19 (coefficients from memory; the tests hold
//! the order).

/// Shares of the rates before it that a stage stands at.
const STAGES: [[f64; 5]; 4] = [
    [0.2, 0.0, 0.0, 0.0, 0.0],
    [3.0 / 40.0, 9.0 / 40.0, 0.0, 0.0, 0.0],
    [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0, 0.0, 0.0],
    [19372.0 / 6561.0, -25360.0 / 2187.0, 64448.0 / 6561.0, -212.0 / 729.0, 0.0],
];
const LAST_STAGE: [f64; 5] =
    [9017.0 / 3168.0, -355.0 / 33.0, 46732.0 / 5247.0, 49.0 / 176.0, -5103.0 / 18656.0];
/// Shares of the first six rates in the step.
const STEP: [f64; 6] =
    [35.0 / 384.0, 0.0, 500.0 / 1113.0, 125.0 / 192.0, -2187.0 / 6784.0, 11.0 / 84.0];
/// Shares of all seven rates in its difference to the step of fourth order.
const ERROR: [f64; 7] = [
    71.0 / 57600.0,
    0.0,
    -71.0 / 16695.0,
    71.0 / 1920.0,
    -17253.0 / 339_200.0,
    22.0 / 525.0,
    -0.025,
];

/// A step of length `length` from one state to the next, with the rates at both.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Step<const N: usize> {
    pub(crate) length: f64,
    /// State at its beginning and its end.
    pub(crate) states: [[f64; N]; 2],
    /// Rates there.
    pub(crate) rates: [[f64; N]; 2],
    /// Largest difference to the step of fourth order.
    pub(crate) error: f64,
}

impl<const N: usize> Step<N> {
    /// The step from `state`, where the rate is `first`, for the rates `f(state)`.
    pub(crate) fn new(
        state: [f64; N],
        first: [f64; N],
        length: f64,
        mut f: impl FnMut([f64; N]) -> [f64; N],
    ) -> Self {
        let mut rates = [first; 7];
        let moved = |rates: &[[f64; N]], shares: &[f64]| -> [f64; N] {
            std::array::from_fn(|i| {
                let sum: f64 = rates.iter().zip(shares).map(|(rate, share)| rate[i] * share).sum();
                state[i] + length * sum
            })
        };
        for (k, shares) in STAGES.iter().chain([&LAST_STAGE]).enumerate() {
            rates[k + 1] = f(moved(&rates[..=k], shares));
        }
        let next = moved(&rates[..6], &STEP);
        rates[6] = f(next);
        let error = (0..N).map(|i| {
            let sum: f64 = rates.iter().zip(ERROR).map(|(rate, share)| rate[i] * share).sum();
            (length * sum).abs()
        });
        // An error that is no number is no small one.
        let error =
            error.fold(0.0, |most, one| if one > most || one.is_nan() { one } else { most });
        Self { length, states: [state, next], rates: [first, rates[6]], error }
    }

    /// The state at a share of the step, 0 to 1: the cubic through states and rates at both ends.
    pub(crate) fn at(&self, share: f64) -> [f64; N] {
        let ([from, to], [first, last]) = (self.states, self.rates);
        let left = 1.0 - share;
        std::array::from_fn(|i| {
            let (rise, sink) = (self.length * first[i], self.length * last[i]);
            let chord = to[i] - from[i];
            from[i]
                + share * chord
                + share * left * (left * (rise - chord) + share * (chord - sink))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn circle([x, y]: [f64; 2]) -> [f64; 2] {
        [-y, x]
    }

    #[test]
    fn a_turn_of_the_circle_is_fifth_order_and_its_estimates_fourth() {
        let turn = |steps: u32| {
            let h = std::f64::consts::TAU / f64::from(steps);
            let mut sum = 0.0;
            let end = (0..steps).fold([1.0, 0.0], |y, _| {
                let step = Step::new(y, circle(y), h, circle);
                sum += step.error;
                step.states[1]
            });
            [(end[0] - 1.0).hypot(end[1]), sum]
        };
        let (coarse, fine) = (turn(40), turn(80));
        let orders = [0, 1].map(|k| (coarse[k] / fine[k]).log2());
        assert!((orders[0] - 5.0).abs() < 0.2 && (orders[1] - 4.0).abs() < 0.2, "{orders:?}");
    }

    #[test]
    fn within_a_step_the_state_is_off_by_the_fourth_power_of_its_length() {
        let worst = |h: f64| {
            let step = Step::new([1.0, 0.0], circle([1.0, 0.0]), h, circle);
            let off = |share: f64| {
                let [x, y] = step.at(share);
                (x - (share * h).cos()).hypot(y - (share * h).sin())
            };
            let (end, [_, last]) = (step.at(1.0), step.states);
            assert!(off(0.0) == 0.0 && (end[0] - last[0]).hypot(end[1] - last[1]) < 1e-15);
            [0.25, 0.5, 0.75].map(off).into_iter().fold(0.0, f64::max)
        };
        let order = (worst(0.4) / worst(0.2)).log2();
        assert!((order - 4.0).abs() < 0.2, "{order}");
    }
}
