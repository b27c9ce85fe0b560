//! Expected against computed, number by number.

use crate::verify::bench::Effort;
use crate::verify::expected::Quantity;
use crate::verify::findings::Findings;

/// How one number came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// Within its tolerance.
    Agrees,
    /// Outside.
    Differs,
    /// Expected and not computed.
    Missing,
    /// Left to the whole run.
    LeftOut,
}

impl Verdict {
    /// In a word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Agrees => "agrees",
            Self::Differs => "DIFFERS",
            Self::Missing => "MISSING",
            Self::LeftOut => "whole run only",
        }
    }
}

/// One expected number and what became of it.
#[derive(Clone, Debug)]
pub struct Row {
    /// Expected value.
    pub expected: Quantity,
    /// Computed values.
    pub computed: Option<f64>,
    /// Distance from the expected value, or from the bound when that is passed, as a share of
    /// what errors are measured by.
    pub error: Option<f64>,
    /// How it came out.
    pub verdict: Verdict,
}

impl Row {
    /// Whether it agrees, or was not to be computed.
    #[must_use]
    pub fn agrees(&self) -> bool {
        matches!(self.verdict, Verdict::Agrees | Verdict::LeftOut)
    }
}

/// Judges every expected number.
#[must_use]
pub fn judge(expected: &[Quantity], findings: &Findings, effort: Effort) -> Vec<Row> {
    expected
        .iter()
        .map(|quantity| {
            let computed = findings.get(&quantity.key);
            let error = computed.map(|found| error_of(quantity, found));
            let verdict = match error {
                Some(error) if within(quantity, error) => Verdict::Agrees,
                Some(_) => Verdict::Differs,
                None if quantity.whole_only && effort == Effort::Quick => Verdict::LeftOut,
                None => Verdict::Missing,
            };
            Row { expected: quantity.clone(), computed, error, verdict }
        })
        .collect()
}

/// Distance from the value, or beyond the bound, as a share of the scale.
fn error_of(quantity: &Quantity, found: f64) -> f64 {
    let distance = if let Some(value) = quantity.value {
        found - value
    } else {
        let below = quantity.at_least.map_or(0.0, |least| (found - least).min(0.0));
        let above = quantity.at_most.map_or(0.0, |most| (found - most).max(0.0));
        if found.is_nan() { f64::NAN } else { below + above }
    };
    distance / quantity.scale()
}

/// Whether an error lies within the tolerance; a number that is none never does.
fn within(quantity: &Quantity, error: f64) -> bool {
    let above = quantity.tolerance.unwrap_or(0.0);
    let below = quantity.tolerance_below.unwrap_or(above);
    (-below..=above).contains(&error)
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    fn quantity(text: &str) -> Quantity {
        toml::from_str(&format!("key = \"q\"\nwhat = \"q\"\nwhy = \"\"\nsource = \"s\"\n{text}"))
            .unwrap()
    }

    fn verdict(text: &str, found: f64) -> Verdict {
        let mut findings = Findings::default();
        findings.put("q", found);
        judge(&[quantity(text)], &findings, Effort::Whole)[0].verdict
    }

    #[test]
    fn a_number_agrees_within_its_tolerance_and_not_beyond() {
        let text = "value = -2.0\ntolerance = 0.01";
        assert_eq!(verdict(text, -2.019), Verdict::Agrees);
        assert_eq!(verdict(text, -2.021), Verdict::Differs);
        assert_eq!(verdict(text, 2.0), Verdict::Differs);
        assert_eq!(verdict(text, f64::NAN), Verdict::Differs);
        assert_eq!(verdict("value = 0.0\ntolerance = 0.01\nof = 50", 0.49), Verdict::Agrees);
        let upper = "value = 1.0\ntolerance = 0.01\ntolerance_below = 0.001";
        assert_eq!(verdict(upper, 1.009), Verdict::Agrees);
        assert_eq!(verdict(upper, 0.998), Verdict::Differs);
    }

    #[test]
    fn a_bound_holds_on_its_side() {
        assert_eq!(verdict("at_least = 3", 3.0), Verdict::Agrees);
        assert_eq!(verdict("at_least = 3", 2.999), Verdict::Differs);
        assert_eq!(verdict("at_most = 3", f64::NAN), Verdict::Differs);
        assert_eq!(verdict("at_least = 1\nat_most = 3", 3.001), Verdict::Differs);
    }

    #[test]
    fn what_was_not_computed_is_missing_unless_it_was_left_to_the_whole_run() {
        let none = Findings::default();
        let plain = [quantity("at_least = 3")];
        let late = [quantity("at_least = 3\nwhole_only = true")];
        assert_eq!(judge(&plain, &none, Effort::Quick)[0].verdict, Verdict::Missing);
        assert_eq!(judge(&late, &none, Effort::Quick)[0].verdict, Verdict::LeftOut);
        assert_eq!(judge(&late, &none, Effort::Whole)[0].verdict, Verdict::Missing);
    }
}
