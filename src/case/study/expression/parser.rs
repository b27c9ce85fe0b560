//! From the text of an expression to a tree: descent by the binding power of the operators.
//!
//! Operators of equal power are taken from the left, `2^3^2` too. A sign or a function binds more tightly than any of
//! them: `-2^2` is 4, `sqrt(d) ^ 2` is the square of a root.

use std::f64::consts::{E, PI, TAU};
use std::iter::Peekable;
use std::str::Chars;

/// Parentheses, signs and functions inside each other, at most: a reader has lost count long before.
const DEEPEST: usize = 64;

/// Numbers, names and signs of an expression, at most: a chain of operators is a tree as deep as it is long.
const LONGEST: usize = 1000;

/// A function of one number, and of two.
type OfOne = fn(f64) -> f64;
type OfTwo = fn(f64, f64) -> f64;

/// Functions of one number.
pub(super) const FUNCTIONS: [(&str, OfOne); 26] = [
    ("abs", f64::abs),
    ("acos", f64::acos),
    ("acosh", f64::acosh),
    ("asin", f64::asin),
    ("asinh", f64::asinh),
    ("atan", f64::atan),
    ("atanh", f64::atanh),
    ("cbrt", f64::cbrt),
    ("ceil", f64::ceil),
    ("cos", f64::cos),
    ("cosh", f64::cosh),
    ("exp", f64::exp),
    ("floor", f64::floor),
    ("fract", f64::fract),
    ("ln", f64::ln),
    ("log", f64::ln),
    ("log10", f64::log10),
    ("log2", f64::log2),
    ("round", f64::round),
    ("signum", f64::signum),
    ("sin", f64::sin),
    ("sinh", f64::sinh),
    ("sqrt", f64::sqrt),
    ("tan", f64::tan),
    ("tanh", f64::tanh),
    ("trunc", f64::trunc),
];

/// Functions of two numbers.
pub(super) const PAIRS: [(&str, OfTwo); 3] =
    [("atan2", f64::atan2), ("max", f64::max), ("min", f64::min)];

/// Names of constants.
pub(super) const CONSTANTS: [(&str, f64); 6] =
    [("E", E), ("PI", PI), ("TAU", TAU), ("e", E), ("π", PI), ("τ", TAU)];

/// A part of an expression.
#[derive(Clone)]
pub(super) enum Node {
    /// A number.
    Number(f64),
    /// A name, by its place in the list of names.
    Name(usize),
    /// A function of one part.
    One(OfOne, Box<Node>),
    /// An operator or a function of two parts.
    Two(OfTwo, Box<[Node; 2]>),
}

impl Node {
    /// Its value, with those of the names in order.
    pub(super) fn value(&self, names: &[f64]) -> f64 {
        match self {
            Self::Number(number) => *number,
            Self::Name(place) => names[*place],
            Self::One(apply, of) => apply(of.value(names)),
            Self::Two(apply, both) => apply(both[0].value(names), both[1].value(names)),
        }
    }
}

#[derive(Clone, Debug, PartialEq)]
enum Token {
    Number(f64),
    Name(String),
    Sign(&'static str),
}

/// Signs, the longer ones first.
const SIGNS: [&str; 16] =
    ["<=", ">=", "==", "!=", "&&", "||", "<", ">", "+", "-", "*", "/", "^", "(", ")", ","];

/// Value of a truth.
fn truth(holds: bool) -> f64 {
    f64::from(u8::from(holds))
}

/// Zero is false, everything else true.
pub(super) fn is_true(value: f64) -> bool {
    value.abs() > 0.0
}

/// Binding power of an operator between two parts, and the operator.
#[allow(clippy::float_cmp, reason = "a user who writes == asks for equal numbers")]
fn between(sign: &str) -> Option<(usize, OfTwo)> {
    Some(match sign {
        "||" => (1, |a, b| truth(is_true(a) || is_true(b))),
        "&&" => (2, |a, b| truth(is_true(a) && is_true(b))),
        "<" => (3, |a, b| truth(a < b)),
        "<=" => (3, |a, b| truth(a <= b)),
        ">" => (3, |a, b| truth(a > b)),
        ">=" => (3, |a, b| truth(a >= b)),
        "==" => (3, |a, b| truth(a == b)),
        "!=" => (3, |a, b| truth(a != b)),
        "+" => (4, |a, b| a + b),
        "-" => (4, |a, b| a - b),
        "*" => (5, |a, b| a * b),
        "/" => (5, |a, b| a / b),
        "^" => (6, f64::powf),
        _ => return None,
    })
}

/// Reads `text`: the tree, and the names in it, sorted.
///
/// # Errors
///
/// Why it is no expression, one line.
pub(super) fn parse(text: &str) -> Result<(Node, Vec<String>), String> {
    let tokens = tokens(text)?;
    if tokens.len() > LONGEST {
        return Err(format!("it has more than {LONGEST} numbers, names and signs"));
    }
    let known = |name: &String| {
        function(name).is_some() || pair(name).is_some() || constant(name).is_some()
    };
    let mut names: Vec<String> = tokens
        .iter()
        .filter_map(|token| match token {
            Token::Name(name) if !known(name) => Some(name.clone()),
            _ => None,
        })
        .collect();
    names.sort();
    names.dedup();
    let mut reader = Reader { tokens: &tokens, next: 0, names: &names, depth: 0 };
    let node = reader.sum(0)?;
    match reader.look() {
        None => Ok((node, names)),
        Some(token) => Err(format!("an operator is missing before {}", shown(token))),
    }
}

fn function(name: &str) -> Option<OfOne> {
    FUNCTIONS.iter().find(|(known, _)| *known == name).map(|(_, apply)| *apply)
}

fn pair(name: &str) -> Option<OfTwo> {
    PAIRS.iter().find(|(known, _)| *known == name).map(|(_, apply)| *apply)
}

fn constant(name: &str) -> Option<f64> {
    CONSTANTS.iter().find(|(known, _)| *known == name).map(|(_, value)| *value)
}

fn shown(token: &Token) -> String {
    match token {
        Token::Number(number) => format!("`{number}`"),
        Token::Name(name) => format!("`{name}`"),
        Token::Sign(sign) => format!("`{sign}`"),
    }
}

fn tokens(text: &str) -> Result<Vec<Token>, String> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(first) = rest.trim_start().chars().next() {
        rest = rest.trim_start();
        let length = if first.is_ascii_digit() || first == '.' {
            let length = number_length(rest);
            let number = rest[..length]
                .parse()
                .map_err(|_| format!("`{}` is no number", &rest[..length.max(1)]))?;
            found.push(Token::Number(number));
            length
        } else if first.is_alphabetic() || first == '_' {
            let inside = |sign: char| sign.is_alphanumeric() || sign == '_';
            let length = rest.find(|sign| !inside(sign)).unwrap_or(rest.len());
            found.push(Token::Name(rest[..length].to_owned()));
            length
        } else {
            let sign = SIGNS.iter().find(|sign| rest.starts_with(**sign));
            let sign =
                sign.ok_or_else(|| format!("`{}` has no meaning here", first.escape_debug()))?;
            found.push(Token::Sign(sign));
            sign.len()
        };
        rest = &rest[length..];
    }
    Ok(found)
}

/// Bytes of the number that `text` begins with: digits with a point, and an exponent when it has digits.
fn number_length(text: &str) -> usize {
    fn digits(signs: &mut Peekable<Chars<'_>>) -> usize {
        std::iter::from_fn(|| signs.next_if(char::is_ascii_digit)).count()
    }
    let mut signs = text.chars().peekable();
    let mut length = digits(&mut signs);
    if signs.next_if_eq(&'.').is_some() {
        length += 1 + digits(&mut signs);
    }
    if signs.next_if(|sign| matches!(sign, 'e' | 'E')).is_some() {
        let sign = usize::from(signs.next_if(|sign| matches!(sign, '+' | '-')).is_some());
        match digits(&mut signs) {
            0 => {}
            exponent => length += 1 + sign + exponent,
        }
    }
    length
}

/// Takes one token after the other.
struct Reader<'a> {
    tokens: &'a [Token],
    next: usize,
    names: &'a [String],
    depth: usize,
}

impl Reader<'_> {
    fn look(&self) -> Option<&Token> {
        self.tokens.get(self.next)
    }

    fn take(&mut self, sign: &'static str) -> Result<(), String> {
        match self.look() {
            Some(Token::Sign(found)) if *found == sign => {
                self.next += 1;
                Ok(())
            }
            Some(other) => Err(format!("`{sign}` is missing before {}", shown(other))),
            None => Err(format!("`{sign}` is missing at the end")),
        }
    }

    /// Parts between operators that bind more tightly than `power`.
    fn sum(&mut self, power: usize) -> Result<Node, String> {
        let mut left = self.operand()?;
        while let Some(Token::Sign(sign)) = self.look() {
            let Some((own, apply)) = between(sign).filter(|(own, _)| *own > power) else { break };
            self.next += 1;
            left = Node::Two(apply, Box::new([left, self.sum(own)?]));
        }
        Ok(left)
    }

    /// A number, a name, a part in parentheses, or one of these behind signs and functions.
    fn operand(&mut self) -> Result<Node, String> {
        self.depth += 1;
        if self.depth > DEEPEST {
            return Err(format!("more than {DEEPEST} parts stand inside each other"));
        }
        let token = self.look().cloned().ok_or("it ends where a number or a name is wanted")?;
        self.next += 1;
        let node = match token {
            Token::Number(number) => Node::Number(number),
            Token::Sign("+") => self.operand()?,
            Token::Sign("-") => Node::One(|value| -value, Box::new(self.operand()?)),
            Token::Sign("(") => {
                let inside = self.sum(0)?;
                self.take(")")?;
                inside
            }
            Token::Sign(_) => {
                return Err(format!("a number or a name is wanted before {}", shown(&token)));
            }
            Token::Name(name) => self.named(&name)?,
        };
        self.depth -= 1;
        Ok(node)
    }

    fn named(&mut self, name: &str) -> Result<Node, String> {
        if let Some(apply) = function(name) {
            return Ok(Node::One(apply, Box::new(self.operand()?)));
        }
        if let Some(apply) = pair(name) {
            self.take("(")?;
            let first = self.sum(0)?;
            self.take(",")?;
            let second = self.sum(0)?;
            self.take(")")?;
            return Ok(Node::Two(apply, Box::new([first, second])));
        }
        if let Some(value) = constant(name) {
            return Ok(Node::Number(value));
        }
        // Every name of the text is in the list.
        Ok(self
            .names
            .iter()
            .position(|known| known == name)
            .map_or(Node::Number(f64::NAN), Node::Name))
    }
}
