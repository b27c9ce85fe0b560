//! Damaged case files, section files, studies, spectra and measurements, given to the whole program: it answers each, and
//! what it writes is whole.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use hoopset::numeric::random::Random;

use crate::workshop::{QUICK, below, told, with_case};

/// Most time of a processor that one answer may take, s. Not time by the clock, which a busy machine
/// stretches.
const PATIENCE: &str = "120";

/// The answer of the program, which is killed beyond patience.
fn answer(folder: &Path, arguments: &[&str]) -> Output {
    Command::new("sh")
        .args(["-c", "ulimit -t \"$0\" && exec \"$@\"", PATIENCE, env!("CARGO_BIN_EXE_hoopset")])
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

/// Numbers that readers stumble over.
const TRAPS: [&str; 8] = ["0", "-1", "1e308", "1e-320", "nan", "inf", "99999999999999999999", ""];

/// Answers to an attack, counted by exit code 0, 1 and 2.
pub(crate) type Counts = [usize; 3];

/// One to three wounds.
fn damage(text: &str, random: &mut Random) -> Vec<u8> {
    let mut bytes = text.as_bytes().to_vec();
    for _ in 0..=below(random, 3) {
        let at = below(random, bytes.len().max(1));
        match below(random, 5) {
            0 if !bytes.is_empty() => bytes[at] ^= 1 << below(random, 8),
            1 => bytes.truncate(at),
            2 => {
                let end = (at + below(random, 30)).min(bytes.len());
                bytes.drain(at..end);
            }
            3 => {
                let from = below(random, bytes.len().max(1));
                let piece = bytes[from..(from + 40).min(bytes.len())].to_vec();
                bytes.splice(at..at, piece);
            }
            _ => {
                let digit = bytes[at..].iter().position(u8::is_ascii_digit).map(|k| at + k);
                let Some(start) = digit else { continue };
                let part = |byte: &&u8| byte.is_ascii_digit() || b".-+e".contains(byte);
                let length = bytes[start..].iter().take_while(part).count();
                let trap = TRAPS[below(random, TRAPS.len())];
                bytes.splice(start..start + length, trap.bytes());
            }
        }
    }
    bytes
}

/// A file that is still well formed, with one of its numbers gently or grossly wrong. Fineness stays: it only sets how long
/// an answer takes.
fn nudge(text: &str, random: &mut Random) -> Vec<u8> {
    let number = |byte: u8| byte.is_ascii_digit() || b".-".contains(&byte);
    let bytes = text.as_bytes();
    let mut starts = Vec::new();
    for (at, byte) in bytes.iter().enumerate() {
        let line = text[..at].rsplit('\n').next().unwrap_or_default();
        let before = if at == 0 { b' ' } else { bytes[at - 1] };
        let begins = byte.is_ascii_digit() && !number(before) && !before.is_ascii_alphanumeric();
        if begins && before != b'"' && !line.starts_with("fineness") && !line.contains('#') {
            starts.push(at);
        }
    }
    let start = starts[below(random, starts.len())];
    let length = bytes[start..].iter().take_while(|byte| number(**byte)).count();
    let was = &text[start..start + length];
    let factor = [0.5, 0.9, 0.97, 1.03, 1.1, 2.0, 10.0, -1.0, 0.0][below(random, 9)];
    let changed = factor * was.parse::<f64>().unwrap_or(1.0);
    let changed = if was.contains('.') { format!("{changed:?}") } else { format!("{changed:.0}") };
    [&text[..start], &changed, &text[start + length..]].concat().into_bytes()
}

/// Gives the program `rounds` damaged copies of the file `name` and counts its answers to `arguments`.
fn attack(folder: &Path, name: &str, arguments: &[&str], rounds: usize, seed: u64) -> Counts {
    attack_by(damage, folder, name, arguments, rounds, seed)
}

/// The same with damage of a kind.
fn attack_by(
    damage: fn(&str, &mut Random) -> Vec<u8>,
    folder: &Path,
    name: &str,
    arguments: &[&str],
    rounds: usize,
    seed: u64,
) -> Counts {
    let whole = fs::read_to_string(folder.join(name)).unwrap();
    let mut random = Random::new(seed);
    let mut counts = [0; 3];
    for round in 0..rounds {
        fs::write(folder.join(name), damage(&whole, &mut random)).unwrap();
        let output = answer(folder, arguments);
        let told = told(&output);
        let code = output.status.code().and_then(|code| usize::try_from(code).ok());
        let code = code.filter(|code| *code < 3);
        let Some(code) = code else { panic!("{name}, seed {seed}, round {round}: {told}") };
        counts[code] += 1;
        if code > 0 {
            assert!(told.contains("error: "), "{name}, seed {seed}, round {round}: {told}");
        }
        if code == 2 {
            assert!(told.contains("hint: "), "{name}, seed {seed}, round {round}: {told}");
        }
    }
    fs::write(folder.join(name), whole).unwrap();
    counts
}

/// The case with a service load by spectrum and a measurement.
fn full_case() -> String {
    QUICK.replace(
        "[numerics]",
        "[[stage]]\nload = { tension = 60.0, along = \"y\" }\nspectrum = \"wing.txt\"\n\
         [[measured]]\nfile = \"strips.csv\"\n[numerics]\nplain_hole = false",
    )
}

/// Damages everything that a run reads, `rounds` times each.
fn attack_all(rounds: usize, seed: u64) -> Vec<(&'static str, Counts)> {
    let folder = with_case(&full_case());
    let at = folder.path();
    fs::write(at.join("wing.txt"), "1.0\n0.1 # rest\n0.8\n-0.2\n0.9\n0\n").unwrap();
    fs::write(at.join("strips.csv"), "distance,hoop,plus_minus\n0.5,-300,20\n1.0,-200,20\n")
        .unwrap();
    let run = ["run", "quick.toml", "--threads", "1"];
    vec![
        ("case", attack(at, "quick.toml", &["check", "quick.toml"], 4 * rounds, seed)),
        ("case, run", attack(at, "quick.toml", &run, rounds, seed + 1)),
        ("spectrum", attack(at, "wing.txt", &run, rounds, seed + 2)),
        ("measurement", attack(at, "strips.csv", &run, rounds, seed + 3)),
    ]
}

/// Another metal beside the hole, a hole out of round and off its place, a mandrel held off its axis, heat.
const ODD: &str = "title = \"Odd\"\nunits = \"mm-MPa\"\n\
    [plate]\nwidth = 60.0\nheight = 40.0\nthickness = 6.0\n\
    [material]\nyoungs_modulus = 72000.0\npoissons_ratio = 0.33\nyield_stress = 350.0\nthermal_expansion = 23e-6\n\
    [[region]]\nname = \"pad\"\nrectangle = [[40, 0], [60, 40]]\n\
    material = { youngs_modulus = 210000.0, poissons_ratio = 0.3, yield_stress = 700.0, thermal_expansion = 12e-6 }\n\
    [[hole]]\nname = \"A\"\nat = [15.0, 20.0]\nstarting_diameter = 5.7\n\
    roundness = 0.02\nlobes = 3\nlobe_angle = 20\noff_place = [0.05, 0.0]\n\
    [[stage]]\nexpand = \"A\"\napplied_expansion = 0.04\ncentre = \"held\"\noffset = [0.02, 0.01]\n\
    [[stage]]\nream = \"A\"\ndiameter = 6.3\naxis = \"place\"\n\
    [[stage]]\ntemperature = 130\nyoungs_modulus = 66000.0\nyield_stress = 280.0\n\
    regions = [{ name = \"pad\", yield_stress = 500.0 }]\n\
    residual_left = 0.85\nsource = \"coupons\"\n\
    [numerics]\nfineness = 0.25\n";

/// A mandrel drawn through a section, a ream, a countersink.
const SECTION: &str = "title = \"Draw\"\nunits = \"mm-MPa\"\n\
    [plate]\nouter_diameter = 30.0\nthickness = 3.0\nidealisation = \"section\"\nrim = \"flat\"\n\
    alloy = \"2024-T351 plate\"\n\
    [[hole]]\nname = \"A\"\nstarting_diameter = 5.7\n\
    [[stage]]\ndraw = \"A\"\nmandrel_diameter = 5.52\nsleeve_thickness = 0.2\n\
    lead_angle = 2.0\ntrail_angle = 4.0\nland = 3.0\nfriction = 0.05\n\
    support = { inner_diameter = 9.0, outer_diameter = 18.0 }\n\
    [[stage]]\nream = \"A\"\ndiameter = 6.0\n\
    [[stage]]\ncountersink = \"A\"\nface = \"entry\"\ndepth = 0.8\nangle = 100.0\n\
    [numerics]\nfineness = 0.25\n";

/// A study of two keys of the small case.
const STUDY: &str = "title = \"Study\"\ncase = \"quick.toml\"\n\
    [[axis]]\nname = \"margin\"\nkey = \"hole.A.at.x\"\nvalues = [12.0, 16.0]\n\
    [[axis]]\nname = \"ream\"\nkey = \"stage.2.diameter\"\nfrom = 5.95\nto = 6.05\ncount = 2\n\
    [[number]]\nname = \"edge\"\nmeasure = \"hoop_at\"\ndistance = 0.2\n";

/// Damages cases of joints and of tolerances, a section and a study: files as text, and numbers in files that stay whole.
fn attack_other(rounds: usize, seed: u64) -> Vec<(&'static str, Counts)> {
    let folder = with_case(QUICK);
    let at = folder.path();
    let coarse = |text: &str| {
        let quick = "[numerics]\nfineness = 0.25\nincrements = 8\n";
        text.replacen("[numerics]\n", quick, 1)
    };
    let texts = [
        ("bush.toml", coarse(include_str!("../../examples/joints/bush.toml"))),
        ("strap.toml", coarse(include_str!("../../examples/joints/strap.toml"))),
        ("repair.toml", include_str!("../../examples/joints/repair.toml").to_owned()),
        ("odd.toml", ODD.to_owned()),
        ("draw.toml", SECTION.to_owned()),
        ("study.toml", STUDY.to_owned()),
    ];
    for (name, text) in &texts {
        fs::write(at.join(name), text).unwrap();
    }
    let check = |name, seed| attack(at, name, &["check", name], 4 * rounds, seed);
    let nudged = |name, arguments: &[&str], seed| {
        attack_by(nudge, at, name, arguments, rounds.div_ceil(2), seed)
    };
    let run = |name| ["run", name, "--threads", "1"];
    vec![
        ("bush", check("bush.toml", seed)),
        ("bush, a number, run", nudged("bush.toml", &run("bush.toml"), seed + 1)),
        ("doubler", check("strap.toml", seed + 2)),
        ("repair", check("repair.toml", seed + 3)),
        ("tolerances and heat", check("odd.toml", seed + 4)),
        ("tolerances and heat, a number, run", nudged("odd.toml", &run("odd.toml"), seed + 5)),
        ("section", attack(at, "draw.toml", &["section", "draw.toml"], rounds, seed + 6)),
        (
            "section, a number, run",
            attack_by(
                nudge,
                at,
                "draw.toml",
                &["section", "draw.toml"],
                rounds.div_ceil(6),
                seed + 7,
            ),
        ),
        ("study", attack(at, "study.toml", &["check", "study.toml"], 2 * rounds, seed + 8)),
        ("study, a number, run", nudged("study.toml", &["study", "study.toml"], seed + 9)),
    ]
}

/// A lot of the hole of the small case, few solutions behind it.
const LOT: &str = "case = \"quick.toml\"\nholes = \"holes.csv\"\n\
    [starting_diameter]\nlimits = [5.68, 5.72]\nplus_minus = 0.002\n\
    [mandrel]\nlimits = [5.505, 5.535]\nplus_minus = 0.001\n\
    [sleeve]\nlimits = [0.195, 0.205]\nplus_minus = 0.001\n\
    [expanded]\nplus_minus = 0.003\n\
    [reamed]\nlimits = [6.0, 6.012]\nplus_minus = 0.002\n\
    [surrogate]\nexpansions = 3\nreams = 2\nchecks = 4\n";

/// Tests of a bar.
const BAR: &str = "units = \"mm-MPa\"\n[metal]\npoissons_ratio = 0.33\nkinematic_terms = 1\n\
    [[test]]\nfile = \"loop.csv\"\nmeasure = \"true\"\n";

/// Damages what is measured: a lot of holes and its table, tests of a bar and their table.
#[test]
fn damaged_measurements_are_answered() {
    let folder = with_case(QUICK);
    let at = folder.path();
    fs::write(at.join("lot.toml"), LOT).unwrap();
    let holes = "hole,start,mandrel,sleeve,expanded,reamed\nA1,5.70,5.52,0.2,5.84,6.005\nA2,5.71,5.52,,,6.006\n";
    fs::write(at.join("holes.csv"), holes).unwrap();
    fs::write(at.join("tests.toml"), BAR).unwrap();
    let stress = |strain: f64| (72_000.0 * strain).clamp(-300.0, 300.0) + 2_000.0 * strain;
    let up = (0..=20).map(|k| 0.001 * f64::from(k));
    let down = (1..=20).map(|k| 0.02 - 0.001 * f64::from(k));
    let rows =
        up.map(|e| (e, stress(e))).chain(down.map(|e| (e, stress(e) - 600.0 * (0.02 - e) / 0.02)));
    let rows: Vec<String> = rows.map(|(strain, stress)| format!("{strain},{stress}\n")).collect();
    fs::write(at.join("loop.csv"), format!("strain,stress\n{}", rows.concat())).unwrap();
    let shop = ["shop", "lot.toml", "--threads", "1"];
    let metal = ["metal", "tests.toml"];
    for (name, arguments, seed) in [
        ("lot.toml", &shop[..], 300),
        ("holes.csv", &shop, 301),
        ("tests.toml", &metal, 302),
        ("loop.csv", &metal, 303),
    ] {
        let counts = attack(at, name, arguments, 12, seed);
        assert!(counts[2] > 0, "{name}: {counts:?}");
    }
}

#[test]
fn damaged_inputs_are_answered() {
    for (what, counts) in attack_all(12, 100) {
        // Some damage hits a remark or a name; most must be noticed or be harmless.
        assert!(counts.iter().sum::<usize>() >= 12, "{what}: {counts:?}");
    }
}

#[test]
fn damaged_joints_sections_and_studies_are_answered() {
    for (what, [done, failed, refused]) in attack_other(6, 500) {
        assert!(refused > 0 || what.contains("number"), "{what}: {done} {failed} {refused}");
    }
}

/// The counts of `verification/attack.md`: `cargo test --release --test attack -- --ignored --nocapture`.
#[test]
#[ignore = "an hour"]
#[allow(clippy::print_stdout, reason = "the counts, for the page")]
fn damaged_inputs_are_answered_at_length() {
    let mut total: Vec<(&str, Counts)> = Vec::new();
    for seed in 0..40 {
        let all = attack_all(50, 1000 + 10 * seed).into_iter();
        for (what, counts) in all.chain(attack_other(50, 5000 + 10 * seed)) {
            match total.iter_mut().find(|(name, _)| *name == what) {
                Some((_, sum)) => (0..3).for_each(|k| sum[k] += counts[k]),
                None => total.push((what, counts)),
            }
        }
        // So far: an hour may be cut short.
        println!("seed {seed}");
        for (what, [done, failed, refused]) in &total {
            println!("| {what} | {done} | {failed} | {refused} |");
        }
    }
}
