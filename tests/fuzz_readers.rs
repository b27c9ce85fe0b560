//! Case files and mesh files, damaged at random: whatever they say, the readers answer.
//!
//! No source: that a reader neither panics nor hangs is the whole claim. The damage is the
//! same in every run. The long run is `cargo test --release --test fuzz_readers -- --ignored`.
#![allow(clippy::unwrap_used, clippy::cast_possible_truncation, missing_docs)]

use std::path::Path;
use std::time::{Duration, Instant};

use hoopset::case;
use hoopset::mesh::import::read_vtu;

/// Longest that one input may take: a hundred times what the whole one takes.
const PATIENCE: Duration = Duration::from_secs(2);

/// Numbers that readers stumble over.
const TRAPS: [&str; 14] = [
    "0",
    "-1",
    "1e308",
    "1e-320",
    "NaN",
    "inf",
    "99999999999999999999",
    "18446744073709551615",
    "9223372036854775808",
    "4294967296",
    "0x7f",
    "",
    "\"",
    "-0.0",
];

/// Marsaglia's xorshift (J. Stat. Softw. 8 (2003) 14, from memory).
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }

    fn below(&mut self, bound: usize) -> usize {
        (self.next() % bound.max(1) as u64) as usize
    }

    fn range(&mut self, length: usize, longest: usize) -> std::ops::Range<usize> {
        let start = self.below(length);
        start..(start + 1 + self.below(longest)).min(length)
    }
}

/// One to four wounds.
fn damage(bytes: &[u8], others: &[Vec<u8>], random: &mut Random) -> Vec<u8> {
    let mut bytes = bytes.to_vec();
    for _ in 0..=random.below(4) {
        if bytes.is_empty() {
            break;
        }
        match random.below(8) {
            0 => {
                let at = random.below(bytes.len());
                bytes[at] ^= 1 << random.below(8);
            }
            1 => {
                let at = random.below(bytes.len());
                bytes[at] = random.next() as u8;
            }
            2 => {
                let range = random.range(bytes.len(), 40);
                bytes.drain(range);
            }
            3 => {
                let piece = bytes[random.range(bytes.len(), 200)].to_vec();
                let at = random.below(bytes.len());
                bytes.splice(at..at, piece);
            }
            4 => bytes.truncate(random.below(bytes.len())),
            5 => {
                let other = &others[random.below(others.len())];
                let piece = other[random.range(other.len(), 300)].to_vec();
                let range = random.range(bytes.len(), 300);
                bytes.splice(range, piece);
            }
            _ => trap(&mut bytes, random),
        }
    }
    bytes
}

/// Puts a number that is hard to read in the place of one in the file.
fn trap(bytes: &mut Vec<u8>, random: &mut Random) {
    let from = random.below(bytes.len());
    let is_part = |byte: &u8| byte.is_ascii_digit() || b".-+".contains(byte);
    let Some(start) = bytes[from..].iter().position(u8::is_ascii_digit).map(|at| from + at) else {
        return;
    };
    let length = bytes[start..].iter().take_while(|byte| is_part(byte)).count();
    let trap = TRAPS[random.below(TRAPS.len())];
    bytes.splice(start..start + length, trap.bytes());
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn meshes() -> Vec<Vec<u8>> {
    let mut paths: Vec<_> = std::fs::read_dir(root().join("meshes/encodings"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    paths.sort();
    paths.into_iter().map(|path| std::fs::read(path).unwrap()).collect()
}

fn cases() -> Vec<Vec<u8>> {
    let meshed = "units = \"mm-MPa\"\n\n[plate]\nmesh = \"meshes/encodings/vtk-base64.vtu\"\n\
                  thickness = 2.0\nalloy = \"2024-T351 plate\"\n\n[[hole]]\nname = \"A\"\n\
                  at = [6.0, 5.0]\nstarting_diameter = 2.0\n\n[[stage]]\nexpand = \"A\"\n\
                  applied_expansion = 0.03\n";
    let base = std::fs::read(root().join("tests/bad_input/base.toml")).unwrap();
    vec![case::DEMO.into(), case::STARTER.into(), base, meshed.into()]
}

fn try_all(corpus: &[Vec<u8>], count: usize, seed: u64, read: impl Fn(&[u8]) -> bool) -> usize {
    let mut random = Random(seed);
    let mut taken = 0;
    for round in 0..count {
        let bytes = damage(&corpus[round % corpus.len()], corpus, &mut random);
        let start = Instant::now();
        taken += usize::from(read(&bytes));
        assert!(start.elapsed() < PATIENCE, "input {round} of seed {seed} took too long");
    }
    taken
}

fn read_mesh(bytes: &[u8]) -> bool {
    read_vtu(bytes, 1.0, &[]).is_ok()
}

fn read_case(bytes: &[u8]) -> bool {
    case::parse(&String::from_utf8_lossy(bytes), "fuzz.toml").is_ok()
}

#[test]
fn the_undamaged_corpus_is_read() {
    assert_eq!(meshes().iter().filter(|bytes| read_mesh(bytes)).count(), meshes().len() - 1);
    assert!(cases().iter().all(|bytes| read_case(bytes)));
}

#[test]
fn damaged_meshes_are_answered() {
    let taken = try_all(&meshes(), 4000, 1, read_mesh);
    // Some damage hits a field that is passed over; most must be noticed.
    assert!((1..3000).contains(&taken), "{taken} were taken for whole");
}

#[test]
fn damaged_cases_are_answered() {
    let taken = try_all(&cases(), 4000, 2, read_case);
    assert!((1..3000).contains(&taken), "{taken} were taken for whole");
}

#[test]
#[ignore = "minutes; for those who change a reader"]
fn a_hundred_thousand_damaged_meshes_and_cases_are_answered() {
    for seed in 10..20 {
        try_all(&meshes(), 5000, seed, read_mesh);
        try_all(&cases(), 5000, 100 + seed, read_case);
    }
}
