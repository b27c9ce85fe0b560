//! Rainflow and spectra.

use hoopset::fatigue::rainflow::{CountedCycle, by_range, count, count_repeating, turning_points};
use hoopset::fatigue::sequence::{LoadSequence, SequenceError};
use hoopset::fatigue::spectrum::{SpectrumError, parse, racetrack};

/// The history of the worked example of ASTM E1049-85, 5.4.4 (from memory).
const HISTORY: [f64; 9] = [-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0];

fn rows(cycles: &[CountedCycle]) -> Vec<(f64, f64)> {
    by_range(cycles).iter().map(|(range, count)| (range.0, *count)).collect()
}

#[test]
fn the_worked_example_of_the_standard_comes_out_exactly() {
    let cycles = count(&HISTORY);
    // The standard's table (from memory): range and cycles.
    assert_eq!(rows(&cycles), [(9.0, 0.5), (8.0, 1.0), (6.0, 0.5), (4.0, 1.5), (3.0, 0.5)]);
    // And the order in which they close: AB, BC halves, EF whole, CD, DG, GH, HI halves.
    let order: Vec<(f64, f64, f64)> = cycles.iter().map(|c| (c.from, c.to, c.count)).collect();
    assert_eq!(
        order,
        [
            (-2.0, 1.0, 0.5),
            (1.0, -3.0, 0.5),
            (-1.0, 3.0, 1.0),
            (-3.0, 5.0, 0.5),
            (5.0, -4.0, 0.5),
            (-4.0, 4.0, 0.5),
            (4.0, -2.0, 0.5),
        ]
    );
}

#[test]
fn the_repeating_example_of_the_standard_comes_out_exactly() {
    // 5.4.5, the same history repeated (from memory): whole cycles of 9, 7, 4 and 3.
    let cycles = count_repeating(&HISTORY);
    assert_eq!(rows(&cycles), [(9.0, 1.0), (7.0, 1.0), (4.0, 1.0), (3.0, 1.0)]);
}

#[test]
fn counting_keeps_every_range_of_the_history() {
    // A count of half cycles pairs each swing once: ranges times two counts add up to the way
    // the history travels. A reproducible jumble of 2000 values.
    let mut seed = 1_u64;
    let history: Vec<f64> = (0..2000)
        .map(|_| {
            seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
            f64::from(u32::try_from(seed >> 40).unwrap()) / 1e5
        })
        .collect();
    let way: f64 = history.windows(2).map(|w| (w[1] - w[0]).abs()).sum();
    let counted: f64 = count(&history).iter().map(|c| 2.0 * c.count * c.range().0).sum();
    assert!((counted / way - 1.0).abs() < 1e-12);
    // The repeating count closes the way back to the start too.
    let closed = way + (history[0] - history[1999]).abs();
    let counted: f64 = count_repeating(&history).iter().map(|c| 2.0 * c.range().0).sum();
    assert!((counted / closed - 1.0).abs() < 1e-12);
}

#[test]
fn points_on_the_way_are_no_turning_points() {
    assert_eq!(turning_points(&[0.0, 0.0, 1.0, 2.0, 2.0, 1.0, 1.5]), [0.0, 2.0, 1.0, 1.5]);
    assert!(turning_points(&[]).is_empty());
    assert!(count(&[3.0]).is_empty() && count_repeating(&[]).is_empty());
    assert!(count_repeating(&[2.0, 2.0]).is_empty());
}

#[test]
fn a_spectrum_file_is_read_or_refused_at_its_line() {
    let text = "# flight one\n0.0\n\n 0.6 # gust\n-0.1\n1e0\n";
    assert_eq!(parse(text).unwrap(), [0.0, 0.6, -0.1, 1.0]);
    let wrong = parse("0.0\n# fine\n0.5, 0.6\n").unwrap_err();
    assert_eq!(wrong, SpectrumError::NotANumber { line: 3, text: "0.5, 0.6".to_owned() });
    assert_eq!(parse("0\n1\ninf\n").unwrap_err(), SpectrumError::NotFinite { line: 3 });
    assert_eq!(parse("1\n1\n").unwrap_err(), SpectrumError::NoCycle);
    assert_eq!(parse("# nothing\n").unwrap_err(), SpectrumError::NoCycle);
}

#[test]
fn the_racetrack_drops_small_swings_and_keeps_the_large_ones() {
    let history = [0.0, 3.0, 2.8, 5.0, 4.9, 5.1, -1.0, -0.8, -2.0, 4.0];
    assert_eq!(racetrack(&history, 0.5), [0.0, 5.1, -2.0, 4.0]);
    assert_eq!(racetrack(&history, 0.0), turning_points(&history));
    // The count of what is large stays.
    let large = |cycles: Vec<CountedCycle>| {
        rows(&cycles).into_iter().filter(|row| row.0 > 3.0).collect::<Vec<_>>()
    };
    assert_eq!(large(count(&racetrack(&history, 0.5))), large(count(&history)));
}

#[test]
fn counted_cycles_load_in_their_order_and_scale() {
    let sequence = LoadSequence::counted(&count(&HISTORY), 10.0).unwrap();
    assert_eq!(sequence.blocks()[0].cycle.maximum(), 10.0);
    assert_eq!(sequence.blocks()[0].cycle.minimum(), -20.0);
    assert_eq!(sequence.cycles_in_pass(), 4.0);
    assert_eq!(sequence.severest().cycle.maximum(), 50.0);
    assert_eq!(LoadSequence::new(Vec::new()), Err(SequenceError::Empty));
    assert!(LoadSequence::counted(&count(&HISTORY), f64::NAN).is_err());
}
