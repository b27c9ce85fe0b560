//! Expressions of a study: arithmetic on numbers by name, with comparisons.
//!
//! `+ - * / ^`, `min`, `max` (written `min(a, b)`), the usual functions of one number (`sqrt`, `abs`,
//! `sin`, `ln`, …), `PI`; comparisons `< <= > >= == !=` with `&&` and `||`, which give 1 for true
//! and 0 for false. A sign binds more tightly than a power: `-2^2` is 4.

mod parser;

use crate::case::study::expression::parser::{CONSTANTS, FUNCTIONS, Node, PAIRS, is_true, parse};

/// An expression, read.
#[derive(Clone)]
pub struct Expression {
    text: String,
    root: Node,
    names: Vec<String>,
}

/// As written: the tree holds addresses of functions, which differ from run to run.
impl std::fmt::Debug for Expression {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_tuple("Expression").field(&self.text).finish()
    }
}

impl PartialEq for Expression {
    fn eq(&self, other: &Self) -> bool {
        self.text == other.text
    }
}

impl Expression {
    /// Reads `text`.
    ///
    /// # Errors
    ///
    /// Why it cannot be read, one line.
    pub fn parse(text: &str) -> Result<Self, String> {
        if text.trim().is_empty() {
            return Err("it is empty".to_owned());
        }
        let (root, names) = parse(text)?;
        Ok(Self { text: text.to_owned(), root, names })
    }

    /// As it was written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The names in it, sorted.
    #[must_use]
    pub fn names(&self) -> &[String] {
        &self.names
    }

    /// Its value, with that of every name from `lookup`; `None` where a name has no value. The result may be
    /// infinite or not a number.
    pub fn value(&self, lookup: impl Fn(&str) -> Option<f64>) -> Option<f64> {
        let values: Vec<f64> =
            self.names().iter().map(|name| lookup(name)).collect::<Option<_>>()?;
        Some(self.root.value(&values))
    }

    /// Whether it holds; `None` where a name has no value or the result is not a number.
    pub fn holds(&self, lookup: impl Fn(&str) -> Option<f64>) -> Option<bool> {
        self.value(lookup).filter(|value| !value.is_nan()).map(is_true)
    }
}

/// Whether an axis or a value may be called `name`: a letter, then letters, digits and `_`, and not the
/// name of a function or constant.
#[must_use]
pub(super) fn is_name(name: &str) -> bool {
    let mut letters = name.chars();
    let starts = letters.next().is_some_and(|first| first.is_ascii_alphabetic());
    let goes_on = letters.all(|letter| letter.is_ascii_alphanumeric() || letter == '_');
    let functions = FUNCTIONS.iter().map(|(known, _)| *known);
    let pairs = PAIRS.iter().map(|(known, _)| *known);
    let mut taken = functions.chain(pairs).chain(CONSTANTS.iter().map(|(known, _)| *known));
    starts && goes_on && !taken.any(|known| known == name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::random::Random;

    fn value(text: &str) -> Option<f64> {
        let lookup = |name: &str| match name {
            "edge_margin" => Some(2.0),
            "d" => Some(6.0),
            _ => None,
        };
        Expression::parse(text).expect("an expression").value(lookup)
    }

    #[test]
    fn arithmetic_comparisons_and_their_order() {
        for (text, expected) in [
            ("edge_margin * d", 12.0),
            ("1/2", 0.5),
            ("1e-1 + .5 + 2.", 2.6),
            ("2 + 3 * 2 ^ 2", 14.0),
            ("min(d, 4) + max(1, edge_margin)", 6.0),
            ("edge_margin * d - d / 2 < 1", 0.0),
            ("d >= 6 && edge_margin < 1 || d == 6", 1.0),
            ("sqrt(d - 2)", 2.0),
        ] {
            let found = value(text).expect("all names are known");
            assert!((found - expected).abs() < 1e-15, "{text}: {found}");
        }
        assert_eq!(value("unknown + 1"), None);
    }

    #[test]
    fn a_text_that_is_no_expression_says_so() {
        let deep = format!("{}d{}", "(".repeat(500), ")".repeat(500));
        let long = vec!["d"; 2000].join(" + ");
        for text in [
            "", "2 +", "(d", "d)", "d d", "3 ? 4", "min(1)", "min 1", "1.2.3", ".", "()",
            "2 ^ ^ 3", &deep, &long,
        ] {
            assert!(Expression::parse(text).is_err(), "{text}");
        }
    }

    /// A text made at random, its value from how it was made, and how tightly its outermost part binds.
    fn made(random: &mut Random, depth: usize) -> (String, f64, usize) {
        let mut pick = |count: u64| usize::try_from(random.bits() % count).unwrap_or_default();
        if depth == 0 {
            let leaves =
                [("d", 6.0), ("edge_margin", 2.0), ("2", 2.0), ("0.5", 0.5), ("1e-1", 0.1)];
            let (text, value) = leaves[pick(5)];
            return (text.to_owned(), value, 7);
        }
        let kind = pick(8);
        let function = pick(FUNCTIONS.len() as u64);
        let (a, x, inside) = made(random, depth - 1);
        let (b, y, beside) = made(random, depth / 2);
        let around = |text: String, needed: bool| if needed { format!("({text})") } else { text };
        let pair = |sign: &str, power: usize, value: f64| {
            let (left, right) =
                (around(a.clone(), inside < power), around(b.clone(), beside <= power));
            (format!("{left} {sign} {right}"), value, power)
        };
        match kind {
            0 => (format!("-{}", around(a, inside < 7)), -x, 7),
            1 => (format!("{}({a})", FUNCTIONS[function].0), FUNCTIONS[function].1(x), 7),
            2 => (format!("max({a}, {b})"), x.max(y), 7),
            3 => pair("*", 5, x * y),
            4 => pair("/", 5, x / y),
            5 => pair("-", 4, x - y),
            6 => pair("^", 6, x.powf(y)),
            _ => pair("+", 4, x + y),
        }
    }

    #[test]
    fn a_text_has_the_value_that_it_was_made_with() {
        let mut random = Random::new(7);
        let mut numbers = 0;
        for _ in 0..4000 {
            let (text, wanted, _) = made(&mut random, 5);
            let found = value(&text).expect("names are known");
            assert!(
                found.to_bits() == wanted.to_bits() || wanted.is_nan(),
                "{text}: {found} {wanted}"
            );
            numbers += usize::from(wanted.is_finite());
        }
        assert!(numbers > 2000, "{numbers}");
    }

    /// By hand; a library that was used before gives −5 and −9.5 for the first two.
    #[test]
    fn a_sign_turns_the_whole_of_its_parentheses() {
        for (text, expected) in [
            ("-(d + 3 + 4 + 4)", -17.0),
            ("-(-d + 0.5 + d - 4 + 2)", 1.5),
            ("-(-d / 3 / 0.5 / 2)", 2.0),
        ] {
            assert_eq!(value(text), Some(expected), "{text}");
        }
    }

    #[test]
    fn names_of_functions_are_taken() {
        assert!(is_name("edge_margin") && is_name("e_over_d"));
        for name in ["", "2d", "e", "sin", "min", "PI", "edge margin", "_a"] {
            assert!(!is_name(name), "{name}");
        }
    }
}
