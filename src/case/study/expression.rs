//! Expressions of a study: arithmetic on numbers by name, with comparisons.
//!
//! `+ - * / ^`, `min`, `max` (written `min(a, b)`), the usual functions of one number (`sqrt`, `abs`,
//! `sin`, `ln`, …), `PI`; comparisons `< <= > >= == !=` with `&&` and `||`, which give 1 for true
//! and 0 for false. A sign binds more tightly than a power: `-2^2` is 4.

use exmex::{
    BinOp, Express as _, FlatEx, FloatOpsFactory, MakeOperators, MatchLiteral, Operator,
    literal_matcher_from_pattern,
};

/// Names that an expression takes for constants.
const TAKEN: [&str; 4] = ["e", "E", "PI", "TAU"];

literal_matcher_from_pattern!(Literal, r"^([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?");

/// The operators: those on floating-point numbers that the library has, and comparisons.
#[derive(Clone, Debug, PartialEq)]
struct Operators;

/// A comparison, weaker than any arithmetic; `prio` tells `&&` and `||` from the others.
fn comparison(sign: &str, prio: i64, apply: fn(f64, f64) -> f64) -> Operator<'_, f64> {
    Operator::make_bin(sign, BinOp { apply, prio, is_commutative: false })
}

fn truth(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

/// Zero is false, everything else true.
fn is_true(value: f64) -> bool {
    value.abs() > 0.0
}

impl MakeOperators<f64> for Operators {
    #[allow(clippy::float_cmp, reason = "a user who writes == asks for equal numbers")]
    fn make<'a>() -> Vec<Operator<'a, f64>> {
        let mut all = FloatOpsFactory::<f64>::make();
        all.extend([
            comparison("<", -10, |a, b| truth(a < b)),
            comparison("<=", -10, |a, b| truth(a <= b)),
            comparison(">", -10, |a, b| truth(a > b)),
            comparison(">=", -10, |a, b| truth(a >= b)),
            comparison("==", -10, |a, b| truth(a == b)),
            comparison("!=", -10, |a, b| truth(a != b)),
            comparison("&&", -20, |a, b| truth(is_true(a) && is_true(b))),
            comparison("||", -30, |a, b| truth(is_true(a) || is_true(b))),
        ]);
        all
    }
}

/// An expression, read.
#[derive(Clone)]
pub struct Expression {
    text: String,
    compiled: FlatEx<f64, Operators, Literal>,
}

/// As written: the compiled form holds addresses, which differ from run to run.
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
        let compiled: FlatEx<f64, Operators, Literal> =
            FlatEx::parse(text).map_err(|error| error.msg().replace('\n', " "))?;
        let text = text.to_owned();
        Ok(Self { text, compiled })
    }

    /// As it was written.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The names in it, sorted.
    #[must_use]
    pub fn names(&self) -> &[String] {
        self.compiled.var_names()
    }

    /// Its value, with that of every name from `lookup`; `None` where a name has no value. The result may be
    /// infinite or not a number.
    pub fn value(&self, lookup: impl Fn(&str) -> Option<f64>) -> Option<f64> {
        let values: Vec<f64> =
            self.names().iter().map(|name| lookup(name)).collect::<Option<_>>()?;
        self.compiled.eval(&values).ok()
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
    let function = Operators::make().iter().any(|operator| operator.repr() == name);
    starts && goes_on && !function && !TAKEN.contains(&name)
}

#[cfg(test)]
mod tests {
    use super::*;

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
        for text in ["", "2 +", "(d", "d d", "3 ? 4"] {
            assert!(Expression::parse(text).is_err(), "{text}");
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
