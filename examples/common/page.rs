//! The numbers of a page, compared with those of the program that computes them.
//!
//! A page names its numbers in remarks that a rendered page does not show:
//!
//! ```text
//! 327.7<!--pressure-->          one number; its digits on the page say how it is rounded
//! <!-- table: comparison -->    the table in the lines below
//! <!-- output: check -->        the fenced text below, as the program prints it
//! ```
//!
//! Run with `HOOPSET_PAGES=write` the program writes its numbers into the page; otherwise it fails
//! where the two differ.
#![allow(dead_code, clippy::print_stdout, reason = "each page takes what it needs")]

use std::collections::BTreeSet;
use std::ops::Range;
use std::path::PathBuf;

/// A page that is compared or rewritten.
pub(crate) struct Page {
    path: PathBuf,
    text: String,
    write: bool,
    /// Remarks that no number was given for yet.
    unsaid: BTreeSet<String>,
    faults: Vec<String>,
}

impl Page {
    /// Reads a page; `path` from the root of the repository.
    pub(crate) fn open(path: &str) -> Result<Self, String> {
        let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(path);
        let text =
            std::fs::read_to_string(&path).map_err(|e| format!("{}: {e}", path.display()))?;
        let remarks = text.split("<!--").skip(1).filter_map(|rest| rest.split("-->").next());
        let named = |remark: &&str| {
            !remark.starts_with(' ')
                || [" table: ", " output: "].iter().any(|s| remark.starts_with(s))
        };
        let unsaid = remarks.filter(named).map(|remark| remark.trim().to_owned()).collect();
        let write = std::env::var_os("HOOPSET_PAGES").is_some_and(|value| value == "write");
        Ok(Self { path, text, write, unsaid, faults: Vec::new() })
    }

    /// The page as it is.
    pub(crate) fn text(&self) -> &str {
        &self.text
    }

    /// Gives a number, wherever the page names it.
    pub(crate) fn value(&mut self, name: &str, value: f64) {
        let mark = format!("<!--{name}-->");
        self.unsaid.remove(name);
        let mut shown = None;
        let mut from = 0;
        while let Some(found) = self.text[from..].find(&mark) {
            let at = from + found;
            let place = number_before(&self.text[..at]);
            let old = self.text[place.clone()].to_owned();
            let new = like(&old, value);
            if !agrees(&old, value) {
                self.faults.push(format!("{name}: the page says {old}, the program {new}"));
            }
            from = place.start + new.len() + mark.len();
            if self.write {
                self.text.replace_range(place, &new);
            } else {
                from = at + mark.len();
            }
            shown = Some(new);
        }
        println!("{name}: {}", shown.unwrap_or_else(|| format!("{value:.4}")));
    }

    /// Gives a table: heads, then rows of as many cells.
    pub(crate) fn table(&mut self, name: &str, heads: &[&str], rows: &[Vec<String>]) {
        let line = |cells: Vec<String>| {
            let cells: Vec<String> = cells
                .into_iter()
                .map(|cell| if cell.is_empty() { " ".to_owned() } else { format!(" {cell} ") })
                .collect();
            format!("|{}|\n", cells.join("|"))
        };
        let mut new = line(heads.iter().map(|head| (*head).to_owned()).collect());
        new.push_str(&"|---".repeat(heads.len()));
        new.push_str("|\n");
        for row in rows {
            new.push_str(&line(row.clone()));
        }
        println!("{name}\n{new}");
        self.block(&format!("table: {name}"), &new, |below| {
            let lines = below.split_inclusive('\n').take_while(|line| line.starts_with('|'));
            0..lines.map(str::len).sum()
        });
    }

    /// Gives the text of a fence.
    pub(crate) fn output(&mut self, name: &str, text: &str) {
        let new = format!("{}\n", text.trim_end());
        self.block(&format!("output: {name}"), &new, |below| {
            let start = below.find('\n').map_or(0, |end| end + 1);
            start..start + below[start..].find("```").unwrap_or(0)
        });
    }

    /// Compares or replaces the part of the page below a remark that `place` finds there.
    fn block(&mut self, remark: &str, new: &str, place: impl Fn(&str) -> Range<usize>) {
        let mark = format!("<!-- {remark} -->\n");
        self.unsaid.remove(remark);
        let Some(at) = self.text.find(&mark) else { return };
        let below = at + mark.len();
        let place = place(&self.text[below..]);
        let place = below + place.start..below + place.end;
        let old = &self.text[place.clone()];
        let (old, wanted): (Vec<&str>, Vec<&str>) = (words(old), words(new));
        for (old, new) in old.iter().zip(&wanted).filter(|(old, new)| !alike(old, new)) {
            self.faults.push(format!("{remark}: the page says {old}, the program {new}"));
        }
        if old.len() != wanted.len() {
            self.faults.push(format!("{remark}: {} words against {}", old.len(), wanted.len()));
        }
        if self.write {
            self.text.replace_range(place, new);
        }
    }

    /// Writes the page, or says where it differs from the program.
    pub(crate) fn close(mut self) -> Result<(), String> {
        for name in &self.unsaid {
            self.faults.push(format!("{name}: named on the page, not computed"));
        }
        let page = self.path.display();
        if self.write {
            let unsaid = self.unsaid.len();
            let changed = self.faults.len() - unsaid;
            // Pages are part of the library: a page that was not touched needs no build.
            if changed > 0 {
                std::fs::write(&self.path, &self.text).map_err(|why| format!("{page}: {why}"))?;
            }
            println!("{page}: {changed} numbers differed and were written");
            self.faults.drain(..changed);
        }
        if self.faults.is_empty() {
            return Ok(());
        }
        let faults = self.faults.join("\n  ");
        Err(format!("{page} differs\n  {faults}\nrun again with HOOPSET_PAGES=write to refresh it"))
    }
}

/// A number with so many decimals, as pages write it: a true minus sign, `–` for no number.
pub(crate) fn fixed(value: f64, decimals: usize) -> String {
    if value.is_nan() {
        return "–".to_owned();
    }
    let text = format!("{value:.decimals$}");
    let zero = !text.contains(|c: char| ('1'..='9').contains(&c));
    let digits = text.trim_start_matches('-');
    let minus = if text.starts_with('-') && !zero { "−" } else { "" };
    format!("{minus}{digits}")
}

/// A large number of so many significant digits, in groups of three.
pub(crate) fn grouped(value: f64, significant: i32) -> String {
    let mut unit = 1.0;
    while value.abs() / unit >= 10_f64.powi(significant) {
        unit *= 10.0;
    }
    groups(&fixed((value / unit).round() * unit, 0))
}

/// The digits of a whole number in groups of three.
fn groups(digits: &str) -> String {
    let count = digits.chars().filter(char::is_ascii_digit).count();
    let mut left = count;
    let mut text = String::new();
    for digit in digits.chars() {
        if digit.is_ascii_digit() {
            if left < count && left % 3 == 0 {
                text.push(' ');
            }
            left -= 1;
        }
        text.push(digit);
    }
    text
}

/// Where the number that ends `text` stands. A single `–` is no number at all.
fn number_before(text: &str) -> Range<usize> {
    let mut start = text.len();
    let mut digits = 0;
    for (at, letter) in text.char_indices().rev() {
        match letter {
            '0'..='9' => digits += 1,
            '.' => digits = 0,
            // A space parts groups of three.
            ' ' if digits == 3 && text[..at].ends_with(|c: char| c.is_ascii_digit()) => digits = 0,
            '−' | '+' => return at..text.len(),
            '–' if start == text.len() => return at..text.len(),
            _ => break,
        }
        start = at;
    }
    start..text.len()
}

/// `value` written as `old` is: as many decimals, groups and a plus sign where it has them.
fn like(old: &str, value: f64) -> String {
    let decimals = if old == "–" { 1 } else { old.split_once('.').map_or(0, |(_, d)| d.len()) };
    let new = fixed(value, decimals);
    let new =
        if decimals == 0 && (old.contains(' ') || value.abs() >= 1e4) { groups(&new) } else { new };
    if old.starts_with('+') && value > 0.0 { format!("+{new}") } else { new }
}

/// The number that a page writes, and one unit of its last digit.
fn number(text: &str) -> Option<(f64, f64)> {
    let plain = text.replace('−', "-").replace(['*', ',', ' '], "");
    let decimals = plain.split_once('.').map_or(0, |(_, digits)| digits.len());
    let unit = 0.1_f64.powi(i32::try_from(decimals).ok()?);
    Some((plain.parse().ok()?, unit))
}

/// Whether the page says `value` in the digits that it prints. A twentieth of a digit more than
/// rounding, because another processor may compute the last bits differently.
fn agrees(old: &str, value: f64) -> bool {
    match number(old) {
        Some((number, unit)) => (number - value).abs() <= 0.55 * unit,
        None => old == "–" && value.is_nan(),
    }
}

/// Whether two words agree, numbers to one unit of their last digit.
fn alike(old: &str, new: &str) -> bool {
    match (number(old), number(new)) {
        (Some((a, unit)), Some((b, other))) => {
            (unit - other).abs() < 1e-12 && (a - b).abs() <= 1.01 * unit
        }
        _ => old == new,
    }
}

fn words(text: &str) -> Vec<&str> {
    text.split(|c: char| c.is_whitespace() || c == '|').filter(|word| !word.is_empty()).collect()
}
