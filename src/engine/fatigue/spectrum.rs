//! A spectrum as plain text: one turning point a line, in order.
//!
//! ```text
//!   # gust, relative to the largest
//!   0.0
//!   0.62   # a comment may follow a value
//!   -0.10
//! ```
//!
//! Values are stresses or shares of one; the factor of
//! [`LoadSequence::counted`](crate::fatigue::sequence::LoadSequence::counted) makes them MPa.

use std::fmt;

use crate::fatigue::rainflow::turning_points;

/// A line that is no turning point. Lines count from 1.
#[derive(Clone, Debug, PartialEq, Eq)]
#[non_exhaustive]
pub enum SpectrumError {
    /// The line is not one number.
    NotANumber {
        /// Its line.
        line: usize,
        /// Text found there.
        text: String,
    },
    /// The number is infinite or not a number.
    NotFinite {
        /// Its line.
        line: usize,
    },
    /// Fewer than two different values: nothing cycles.
    NoCycle,
}

impl fmt::Display for SpectrumError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotANumber { line, text } => {
                write!(f, "line {line}: `{}` is not one number", text.escape_debug())
            }
            Self::NotFinite { line } => write!(f, "line {line}: the value is not finite"),
            Self::NoCycle => f.write_str("a spectrum needs at least two different values"),
        }
    }
}

impl std::error::Error for SpectrumError {}

/// Reads a spectrum: its values in order. Empty lines and what follows `#` are skipped.
///
/// # Errors
/// [`SpectrumError`] at the first wrong line.
pub fn parse(text: &str) -> Result<Vec<f64>, SpectrumError> {
    let mut values = Vec::new();
    for (k, line) in text.lines().enumerate() {
        let word = line.split('#').next().unwrap_or_default().trim();
        if word.is_empty() {
            continue;
        }
        let value: f64 = word
            .parse()
            .map_err(|_| SpectrumError::NotANumber { line: k + 1, text: word.to_owned() })?;
        if !value.is_finite() {
            return Err(SpectrumError::NotFinite { line: k + 1 });
        }
        values.push(value);
    }
    if turning_points(&values).len() < 2 {
        return Err(SpectrumError::NoCycle);
    }
    Ok(values)
}

/// Turning points without swings smaller than `width`, the racetrack filter: a reversal
/// stays only when the history then moves away from it by at least `width`.
///
/// The first value always stays; an extreme stays when it lies at least `width` from it.
/// Source: H. O. Fuchs and others' racetrack method, as common practice gives it (from memory).
#[must_use]
pub fn racetrack(history: &[f64], width: f64) -> Vec<f64> {
    let points = turning_points(history);
    let Some((&first, rest)) = points.split_first() else {
        return points;
    };
    let mut kept = vec![first];
    // The furthest point since the last kept one, in the direction of travel.
    let mut furthest = first;
    for &point in rest {
        let last = kept[kept.len() - 1];
        let direction = furthest - last;
        if direction == 0.0 {
            // Still near the start: wait for a move that is large enough.
            if (point - last).abs() >= width {
                furthest = point;
            }
        } else if (point - furthest) * direction > 0.0 {
            furthest = point;
        } else if (furthest - point).abs() >= width {
            kept.push(furthest);
            furthest = point;
        }
    }
    if furthest.total_cmp(&kept[kept.len() - 1]).is_ne() {
        kept.push(furthest);
    }
    kept
}
