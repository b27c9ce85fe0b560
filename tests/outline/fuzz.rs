//! Random outlines and damaged case files: the reader answers each with a case or a complaint,
//! in time, and what it accepts can be meshed.

use std::fmt::Write as _;
use std::time::{Duration, Instant};

use hoopset::case;
use hoopset::mesh::build;
use hoopset::process::plan::mesh_plan;

use crate::cases::{ANGLE, BOX, LUG, NOTCH, SLOT, TRIANGLE, WINDOW, text};

/// Numbers that look random and are the same on every machine (splitmix64; S. Vigna, public
/// domain, from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, most: usize) -> usize {
        usize::try_from(self.next() % most as u64).expect("below a usize")
    }

    /// Between the two.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        #[allow(clippy::cast_precision_loss)]
        let share = (self.next() >> 11) as f64 / (1_u64 << 53) as f64;
        low + share * (high - low)
    }
}

/// A star-shaped outline with some fillets and arcs, and perhaps a cut-out; often sound, not
/// always.
fn outline(random: &mut Random) -> String {
    let count = 3 + random.below(8);
    let mut corners = String::new();
    let reach = |random: &mut Random| random.between(14.0, 40.0);
    let mut last = [0.0; 2];
    for k in 0..count {
        #[allow(clippy::cast_precision_loss)]
        let angle = (k as f64 + random.between(-0.3, 0.3)) * std::f64::consts::TAU / count as f64;
        let r = reach(random);
        let at = [r * angle.cos(), r * angle.sin()].map(|x| (x * 100.0).round() / 100.0);
        write!(corners, "{{ at = [{}, {}]", at[0], at[1]).expect("text");
        match random.below(6) {
            0 | 1 => {
                write!(corners, ", fillet = {:.2}", random.between(0.2, 6.0)).expect("text");
            }
            2 if k > 0 => {
                let bulge = random.between(-0.25, 0.25);
                let middle = [
                    0.5 * (last[0] + at[0]) + bulge * (at[1] - last[1]),
                    0.5 * (last[1] + at[1]) - bulge * (at[0] - last[0]),
                ];
                write!(corners, ", arc_through = [{}, {}]", middle[0], middle[1]).expect("text");
            }
            _ => {}
        }
        corners.push_str(" }, ");
        last = at;
    }
    let cutout = match random.below(3) {
        0 => {
            let (angle, r) = (random.between(0.0, 6.2), random.between(6.0, 14.0));
            format!(
                "[[cutout]]\ncircle = [{:.2}, {:.2}]\ndiameter = {:.2}",
                r * f64::cos(angle),
                r * f64::sin(angle),
                random.between(0.5, 5.0)
            )
        }
        1 => format!(
            "[[cutout]]\nslot_from = [{:.2}, {:.2}]\nslot_to = [{:.2}, {:.2}]\nwidth = {:.2}",
            random.between(-12.0, 12.0),
            random.between(5.0, 12.0),
            random.between(-12.0, 12.0),
            random.between(5.0, 12.0),
            random.between(0.3, 3.0)
        ),
        _ => String::new(),
    };
    text(&format!("outline = [{corners}]"), &cutout, [0.0, 0.0], 5.0)
}

/// The text with a few bytes, numbers or lines changed.
fn damaged(text: &str, random: &mut Random) -> String {
    let mut text = text.to_owned();
    for _ in 0..=random.below(3) {
        let places: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
        let at = places[random.below(places.len())];
        match random.below(5) {
            0 => {
                let wrong = ["[", "]", "{", "}", ",", "\"", "=", "\n", "-", "9", "e9", "nan", "ö"];
                text.insert_str(at, wrong[random.below(wrong.len())]);
            }
            1 => {
                text.remove(at);
            }
            2 => {
                let numbers: Vec<(usize, usize)> = numbers(&text);
                let (from, to) = numbers[random.below(numbers.len())];
                let new = ["0", "-1", "1e-9", "1e300", "-40", "12", "25.0", "1e6", "0.001"];
                text.replace_range(from..to, new[random.below(new.len())]);
            }
            3 => {
                let lines: Vec<&str> = text.lines().collect();
                let k = random.below(lines.len());
                let mut lines: Vec<String> = lines.into_iter().map(str::to_owned).collect();
                let line = lines.remove(k);
                lines.insert(random.below(lines.len() + 1), line);
                text = lines.join("\n");
            }
            _ => {
                let other = places[random.below(places.len())];
                let part = text[at.min(other)..at.max(other)].to_owned();
                if part.len() < 400 {
                    text.insert_str(at, &part);
                }
            }
        }
        if text.is_empty() {
            text.push('x');
        }
        if numbers(&text).is_empty() {
            text.push_str(" 1 ");
        }
    }
    text
}

/// Where numbers stand in a text.
fn numbers(text: &str) -> Vec<(usize, usize)> {
    let mut found = vec![];
    let mut start = None;
    for (at, letter) in text.char_indices().chain([(text.len(), ' ')]) {
        let digit = letter.is_ascii_digit() || letter == '.';
        match (start, digit) {
            (None, true) => start = Some(at),
            (Some(from), false) => {
                found.push((from, at));
                start = None;
            }
            _ => {}
        }
    }
    found
}

fn seeds() -> Vec<String> {
    let mut random = Random(7);
    let mut seeds: Vec<String> = (0..90).map(|_| outline(&mut random)).collect();
    let end = "[[support]]\nedge = \"left\"\nhold = \"both\"\n[[stage]]\n\
               load = { tension = 30, on = [\"right\", \"top\"] }";
    for (plate, tables) in [
        (LUG, ""),
        (ANGLE, ""),
        (NOTCH, ""),
        (BOX, SLOT),
        (BOX, WINDOW),
        (BOX, TRIANGLE),
        (BOX, end),
        ("outer_diameter = 70.0", ""),
    ] {
        seeds.push(text(plate, tables, [40.0, 10.0], 6.0));
    }
    seeds
}

/// Longest that the reader may think about a file of a page, on a busy machine.
const PATIENCE: Duration = Duration::from_secs(2);

fn read(text: &str) -> bool {
    let start = Instant::now();
    let accepted = case::parse(text, "fuzz.toml").is_ok();
    assert!(start.elapsed() < PATIENCE, "{:?} for\n{text}", start.elapsed());
    accepted
}

/// Reads `each` damaged versions of every seed.
fn rounds(each: usize, seed: u64) {
    let mut random = Random(seed);
    let seeds = seeds();
    let mut accepted = 0;
    for text in &seeds {
        for _ in 0..each {
            accepted += usize::from(read(&damaged(text, &mut random)));
        }
    }
    // Some damage does no harm; if none did, or all, the damage would not be testing the reader.
    let tried = each * seeds.len();
    assert!(accepted > tried / 200 && accepted < tried / 2, "{accepted} of {tried} accepted");
}

#[test]
fn damaged_outlines_are_answered_in_time() {
    rounds(10, 1);
}

#[test]
#[ignore = "a hundred thousand files take a minute"]
fn a_hundred_thousand_damaged_outlines_are_answered_in_time() {
    rounds(1024, 2);
}

/// Meshes what the reader accepts of random outlines; how many were meshed of how many accepted.
fn mesh_all(count: usize, seed: u64) {
    let mut random = Random(seed);
    let (mut accepted, mut refused) = (0, String::new());
    for _ in 0..count {
        let text = outline(&mut random);
        let Ok(case) = case::parse(&text, "fuzz.toml") else { continue };
        accepted += 1;
        let mut job = case.job;
        job.numerics.fineness = 0.5;
        if let Err(error) = build(&job.plate, &mesh_plan(&job)) {
            write!(refused, "{error}\n{text}\n").expect("text");
        }
    }
    assert!(accepted > count / 4, "only {accepted} of {count} were accepted");
    assert!(refused.is_empty(), "accepted but not meshed:\n{refused}");
}

#[test]
fn what_is_accepted_can_be_meshed() {
    mesh_all(24, 3);
}

#[test]
#[ignore = "hundreds of meshes take minutes"]
fn many_accepted_outlines_can_be_meshed() {
    mesh_all(800, 4);
}
