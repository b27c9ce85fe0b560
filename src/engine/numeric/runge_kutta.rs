//! One step of a system of ordinary differential equations, fourth order.

/// State after the step `h` from `state` at `x`, for the rates `f(x, state)`.
///
/// Source: the classical Runge–Kutta rule, any text on numerical analysis.
pub fn step<const N: usize>(
    x: f64,
    state: [f64; N],
    h: f64,
    mut f: impl FnMut(f64, [f64; N]) -> [f64; N],
) -> [f64; N] {
    let moved =
        |by: f64, rate: [f64; N]| -> [f64; N] { std::array::from_fn(|i| state[i] + by * rate[i]) };
    let first = f(x, state);
    let second = f(x + 0.5 * h, moved(0.5 * h, first));
    let third = f(x + 0.5 * h, moved(0.5 * h, second));
    let fourth = f(x + h, moved(h, third));
    std::array::from_fn(|i| {
        state[i] + h / 6.0 * (first[i] + 2.0 * second[i] + 2.0 * third[i] + fourth[i])
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_of_the_circle_is_fourth_order() {
        let error = |steps: u32| {
            let h = std::f64::consts::TAU / f64::from(steps);
            let end = (0..steps)
                .fold([1.0, 0.0], |y, k| step(f64::from(k) * h, y, h, |_, [x, y]| [-y, x]));
            (end[0] - 1.0).hypot(end[1])
        };
        let order = (error(50) / error(100)).log2();
        assert!((order - 4.0).abs() < 0.1, "order {order}");
    }
}
