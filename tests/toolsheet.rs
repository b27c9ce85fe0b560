//! The tool sheet: tolerance arithmetic by hand, expansions whose answer is known, percentiles of
//! known distributions, and the command as a user runs it.
#![allow(clippy::unwrap_used, clippy::float_cmp, missing_docs)]

#[path = "toolsheet/chain.rs"]
mod chain;
#[path = "toolsheet/command.rs"]
mod command;

use std::ops::ControlFlow;

use hoopset::case::sheet::{SHEET, Sheet, parse};
use hoopset::numeric::profile::Profile;
use hoopset::numeric::random::percentile;
use hoopset::result::summary::PathSummary;
use hoopset::study::toolsheet::{
    Corner, Expanded, Finished, Found, Limits, Output, Sizes, Surrogate, derive, draw_all,
    expand_only, grid, make, mandrel_window, range,
};

/// A round plate, coarse: a quarter of it is solved.
const DISC: &str = r#"title = "Idler plate, coarse"
units = "mm-MPa"
[plate]
outer_diameter = 50.0
thickness = 4.0
alloy = "2024-T351 plate"
[hole]
finished_diameter = [6.35, 6.375]
[expansion]
lowest = 0.03
highest = 0.05
[starting_diameter]
band = 0.05
[tool]
sleeve_thickness = 0.20
sleeve_tolerance = 0.005
mandrel_band = 0.01
mandrel_wear = 0.02
[draws]
count = 2000
held_out = 3
[numerics]
fineness = 0.5
increments = 8
"#;

fn sheet(text: &str) -> Sheet {
    parse(text, "sheet.toml").unwrap_or_else(|complaint| panic!("{complaint}"))
}

fn expanded(sheet: &Sheet, expansion: f64) -> Expanded {
    expand_only(sheet, 6.0, expansion, |_| ControlFlow::Continue(())).unwrap()
}

#[test]
fn a_twentieth_of_a_millimetre_on_a_six_millimetre_hole_moves_the_expansion_by_eight_tenths_of_a_per_cent()
 {
    let of = |start: f64| Sizes { start, mandrel: 5.84, sleeve: 0.20, finished: 6.4 }.expansion();
    // By hand: (5.84 + 0.40 − 6.00) / 6.00 = 0.24 / 6 and 0.19 / 6.05.
    assert!((of(6.00) - 0.04).abs() < 1e-14);
    assert!((of(6.05) - 0.19 / 6.05).abs() < 1e-14);
    // The usual figure, 0.05 / 6 = 0.8 % (common practice, no source); it leaves out that the
    // expansion itself is of the larger hole, 4 % of 0.8 %.
    let moved = of(6.00) - of(6.05);
    assert!((moved - 0.05 / 6.0).abs() < 0.05 * moved, "{moved}");
}

#[test]
fn the_window_of_the_mandrel_is_the_one_found_by_hand() {
    // Largest starting hole, lowest expansion, thinnest sleeve: 6.05 · 1.03 − 0.39 = 5.8415.
    // Smallest, highest, thickest: 6.00 · 1.05 − 0.41 = 5.89.
    let [low, high] = mandrel_window([6.00, 6.05], [0.195, 0.205], [0.03, 0.05]);
    assert!((low - 5.8415).abs() < 1e-12 && (high - 5.89).abs() < 1e-12, "{low} {high}");
}

/// A hole of about 6 mm that kept 2.8 %.
const PILOT: Expanded = Expanded { retained: 0.028, mean: 6.168, smallest: 6.167, largest: 6.169 };

#[test]
fn limits_keep_every_combination_inside_the_wanted_band() {
    for (band, wear, step) in [(0.05, 0.02, 0.005), (0.02, 0.03, 0.01), (0.0, 0.0, 0.001)] {
        let text = DISC
            .replace("band = 0.05", &format!("band = {band}"))
            .replace("mandrel_wear = 0.02", &format!("mandrel_wear = {wear}"))
            .replace("[plate]", &format!("round_to = {step}\n[plate]"));
        let limits = derive(&sheet(&text), &PILOT).unwrap();
        let [low, nominal, high] = [0, 1, 2].map(|k| limits.corner(k).expansion());
        assert!(low >= 0.03 - 1e-9 && high <= 0.05 + 1e-9, "{low} {high}");
        assert!(low <= nominal && nominal <= high);
        assert!((limits.start[1] - limits.start[0] - band).abs() < 1e-12);
        assert!((limits.mandrel[0] - limits.worn - wear).abs() < 1e-12);
        for size in [limits.start[0], limits.mandrel[1]] {
            let steps = size / step;
            assert!((steps - steps.round()).abs() < 1e-6, "{size} is no multiple of {step}");
        }
        // The nominal hole is where the pilot and the allowance put it, to the rounding.
        let nominal = limits.corner(1);
        let left = nominal.finished - nominal.start * 1.028;
        assert!((left - limits.allowance).abs() <= 0.51 * step * 1.028 + 1e-9, "{left}");
    }
}

#[test]
fn tolerances_wider_than_the_band_are_refused_at_the_widest() {
    let text = DISC.replace("band = 0.05\n[tool]", "band = 0.12\n[tool]");
    let complaint = derive(&sheet(&text), &PILOT).unwrap_err();
    let line = text.lines().position(|line| line.starts_with("band")).unwrap() + 1;
    assert_eq!(complaint.place.map(|place| place.0), Some(line), "{complaint}");
    assert_eq!(complaint.key.as_deref(), Some("band"));
    assert!(complaint.hint().contains("starting hole `band`"), "{}", complaint.hint());
    let shallow = format!("{DISC}[ream]\nallowance = 0.06\n");
    let complaint = derive(&sheet(&shallow), &PILOT).unwrap_err();
    assert_eq!(complaint.key.as_deref(), Some("allowance"));
}

const ELASTIC: &str = "[material]\nyoungs_modulus = 72000.0\npoissons_ratio = 0.33\n\
                       yield_stress = 3000.0\nisotropic = { law = \"none\" }\nkinematic = []\n";

#[test]
fn an_expansion_that_stays_elastic_leaves_nothing_to_measure() {
    // 0.5 % of an elastic sheet asks for 0.005 · 72000 / 1.33 = 271 MPa (Lamé), far below 3000.
    let found = expanded(&sheet(&format!("{DISC}{ELASTIC}")), 0.005);
    assert!(found.retained.abs() < 1e-7, "{}", found.retained);
    let limits = Limits {
        start: [6.0, 6.05],
        mandrel: [5.85, 5.86],
        worn: 5.83,
        sleeve: [0.195, 0.205],
        finished: [6.35, 6.375],
        allowance: 0.2,
    };
    assert_eq!(limits.plug(6.0 * (1.0 + found.retained), 0.005), None);
    assert_eq!(limits.plug(6.0512, 0.005), None);
    assert!((limits.plug(6.157, 0.005).unwrap() - 6.155).abs() < 1e-12);
}

#[test]
fn a_stiff_plate_keeps_what_a_rigid_tool_gives_it() {
    let stiff = "[material]\nyoungs_modulus = 1e6\npoissons_ratio = 0.33\nyield_stress = 100.0\n\
                 isotropic = { law = \"none\" }\nkinematic = []\n";
    let rigid = DISC.replace("mandrel_wear = 0.02", "mandrel_wear = 0.02\nrigid_mandrel = true");
    // Nádai's sheet speaks of small strains: a rim that piles up springs back more.
    let rigid = rigid.replace("[numerics]", "[numerics]\nstrains = \"small\"");
    let found = expanded(&sheet(&format!("{rigid}{stiff}")), 0.04);
    // Springback of a perfectly plastic sheet: (1 + ν) P / E at most times 1.25 for reverse
    // yielding, with P ≤ (2/√3) σ (A. Nádai, Plasticity, 1931; Lamé).
    let springback = 1.33 * 2.0 / 3.0_f64.sqrt() * 100.0 / 1e6;
    let lost = 0.04 - found.retained;
    assert!(lost > 0.5 * springback && lost < 1.25 * springback, "{lost} {springback}");
}

fn sorted(mut values: Vec<f64>) -> Vec<f64> {
    values.sort_by(f64::total_cmp);
    values
}

/// Sampling error of the percentile `p` of `n` draws where the density is `density`: the usual
/// asymptotic standard error √(p(1−p)/n)/f.
fn standard_error(p: f64, n: usize, density: f64) -> f64 {
    (p * (1.0 - p) / n as f64).sqrt() / density
}

#[test]
fn percentiles_of_a_linear_response_are_those_of_its_exact_distribution() {
    let n = 20_000;
    let text = DISC
        .replace("count = 2000", &format!("count = {n}\nfinished = \"uniform\""))
        .replace("sleeve_tolerance = 0.005", "sleeve_tolerance = 0.0")
        .replace("band = 0.05\n[tool]", "band = 0.0\n[tool]");
    let sheet = sheet(&text);
    let limits = derive(&sheet, &PILOT).unwrap();
    let draws = draw_all(&sheet, &limits);

    // A uniform mandrel alone moves the applied expansion, in proportion.
    let expansions = sorted(draws.iter().map(Sizes::expansion).collect());
    let [low, high] = [0, 2].map(|k| limits.corner(k).expansion());
    for p in [0.05, 0.5, 0.95] {
        let exact = low + p * (high - low);
        let found = percentile(&expansions, p).unwrap();
        // Four standard errors: one seed in 16000 would fail.
        let slack = 4.0 * standard_error(p, n, 1.0 / (high - low));
        assert!((found - exact).abs() < slack, "{p}: {found} {exact}");
    }

    // Mandrel and ream, each uniform and of equal weight, on a surrogate through values that are
    // linear: the sum of two equal uniform variables is triangular.
    let start = limits.start[0];
    let widths = [high - low, (limits.finished[1] - limits.finished[0]) / start];
    // In e = A/S − 1 and b = (F − A)/S, a slope of u in A and v in F is (u + v) e + v b.
    let (u, v) = (100.0 / widths[0], 100.0 / widths[1]);
    let response = |sizes: &Sizes| {
        let [e, b] = hoopset::study::toolsheet::reduced(sizes);
        -500.0 + (u + v) * e + v * b
    };
    let range = range(&limits);
    let on_grid: Vec<Found> =
        grid(range, start).iter().map(|sizes| found_with(response(sizes))).collect();
    let surrogate = Surrogate::new(range, start, &on_grid);
    let values: Vec<f64> =
        draws.iter().map(|sizes| surrogate.at(sizes).get(Output::EdgeHoop).unwrap()).collect();
    for (value, sizes) in values.iter().zip(&draws) {
        // Rounding: slopes of 2e4 per unit, cancelling.
        assert!((value - response(sizes)).abs() < 1e-7);
    }
    let values = sorted(values);
    let base = response(&Sizes {
        start,
        mandrel: limits.worn,
        sleeve: limits.sleeve[0],
        finished: limits.finished[0],
    });
    for (p, exact, density) in [
        // From 0 to 200, top at 100: p = x²/(2·100²) below the top.
        (0.05, 100.0 * 0.1_f64.sqrt(), 0.1_f64.sqrt() / 100.0),
        (0.50, 100.0, 0.01),
        (0.95, 200.0 - 100.0 * 0.1_f64.sqrt(), 0.1_f64.sqrt() / 100.0),
    ] {
        let found = percentile(&values, p).unwrap() - base;
        assert!(
            (found - exact).abs() < 4.0 * standard_error(p, n, density),
            "{p}: {found} {exact}"
        );
    }
}

#[test]
fn a_normal_size_that_is_cut_at_its_limits_has_the_percentiles_of_the_tables() {
    let n = 20_000;
    let sheet = sheet(&DISC.replace("count = 2000", &format!("count = {n}")));
    let limits = derive(&sheet, &PILOT).unwrap();
    let starts = sorted(draw_all(&sheet, &limits).iter().map(|sizes| sizes.start).collect());
    let deviation = (limits.start[1] - limits.start[0]) / 6.0;
    // Standard normal tables: Φ(−3) = 0.00135, so 5 % of what is left between ±3 is reached at
    // Φ = 0.05121, z = −1.6332; the density there is 0.10544 (error function, computed apart).
    let (z, density) = (1.633_2, 0.105_4);
    let middle = 0.5 * (limits.start[0] + limits.start[1]);
    for (p, exact) in [(0.05, -z), (0.95, z)] {
        let found = (percentile(&starts, p).unwrap() - middle) / deviation;
        assert!((found - exact).abs() < 4.0 * standard_error(p, n, density), "{p}: {found}");
    }
    assert!(starts[0] >= limits.start[0] && starts[n - 1] <= limits.start[1]);
}

/// A result of which only the edge hoop stress is of interest.
fn found_with(edge_hoop: f64) -> Found {
    Found {
        expanded: PILOT,
        path: PathSummary {
            hole: "A".to_owned(),
            angle_deg: 0.0,
            edge_hoop,
            peak_compression: None,
            compression_depth: None,
            peak_tension: None,
            plastic_extent: 0.0,
            reverse_yield_extent: 0.0,
            edge_error: None,
        },
        hoop: Profile::default(),
    }
}

#[test]
fn the_surrogate_meets_solutions_it_has_not_seen() {
    let made = make(&sheet(DISC), &|_, _| ControlFlow::Continue(())).unwrap();
    assert!(made.warnings.is_empty(), "{:?}", made.warnings);
    for (output, most) in [
        // Shares of the width from 5 to 95 %. What is left is the mesh, which differs from
        // solution to solution as its ring line follows the ream, more so at this coarse fineness.
        (Output::EdgeHoop, 0.1),
        (Output::Depth, 0.1),
        (Output::Retained, 0.02),
        (Output::ExpandedDiameter, 0.02),
    ] {
        let [low, _, high] = made.percentiles(output).unwrap();
        let error = made.error(output).unwrap();
        assert!(error < most * (high - low), "{output:?}: {error} of {}", high - low);
    }
    larger_expansion_leaves_more(&made);
}

/// Away from edges, more expansion leaves more compression, deeper, and a larger hole.
fn larger_expansion_leaves_more(made: &Finished) {
    for pair in made.corners.windows(2) {
        let [less, more]: &[Corner; 2] = pair.try_into().unwrap();
        assert!(more.found.path.edge_hoop < less.found.path.edge_hoop);
        assert!(more.found.path.compression_depth > less.found.path.compression_depth);
        assert!(more.found.expanded.mean > less.found.expanded.mean);
    }
    let [low, high] = made.expanded();
    let plug = made.expanded_plug.unwrap();
    assert!(made.limits.start[1] < plug && plug <= low && low < high);
    assert!(high < made.limits.finished[0], "the ream cleans up");
    // Every draw lies between the ends that the limits allow.
    // A wider starting hole under one tool ends up wider: D = S (1 + r(e)), e = A/S − 1, has the slope
    // 1 + r − r'(1 + e) in S, which vanishes only when all of a further expansion stays.
    let ends = made.ends.map(|end| end.mean);
    assert!(ends[0] < made.corners[0].found.expanded.mean);
    assert!(ends[1] > made.corners[2].found.expanded.mean);
    let drawn = made.sorted(Output::ExpandedDiameter).unwrap();
    assert!(drawn[0] >= ends[0] - 1e-4 && drawn[drawn.len() - 1] <= ends[1] + 1e-4);
}

#[test]
fn inches_and_millimetres_say_the_same() {
    let inches = DISC
        .replace("mm-MPa", "in-ksi")
        .replace("50.0", "1.968503937007874")
        .replace("= 4.0", "= 0.15748031496062992")
        .replace("[6.35, 6.375]", "[0.25, 0.25098425196850394]")
        .replace("= 0.20", "= 0.007874015748031496");
    let (one, other) = (sheet(DISC), sheet(&inches));
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12 * a.abs().max(1.0), "{a} {b}");
    near(one.finished[1], other.finished[1]);
    near(one.sleeve_thickness, other.sleeve_thickness);
    near(one.plate.thickness, other.plate.thickness);
    assert_eq!(one.material, other.material);
    assert_eq!(one.expansion, other.expansion);
}

#[test]
fn the_sheet_to_begin_from_is_read_and_its_defaults_are_true() {
    let written = sheet(SHEET);
    let bare = "units = \"mm-MPa\"\nplate = { width = 60, height = 60, thickness = 6, \
                alloy = \"2024-T351 plate\" }\nhole = { at = [13, 30], finished_diameter = \
                [6.35, 6.375] }\ntool = { sleeve_thickness = 0.2 }\n";
    let short = sheet(bare);
    assert_eq!(short.assumed.len(), 7, "{:?}", short.assumed);
    // Places of keys differ; what is derived from the sheets does not.
    assert_eq!(derive(&written, &PILOT), derive(&short, &PILOT));
    assert_eq!((written.draws, written.expansion), (short.draws, short.expansion));
    assert_eq!((written.elastic, written.numerics), (short.elastic, short.numerics));
    let titanium = sheet(&bare.replace("2024-T351 plate", "Ti-6Al-4V annealed sheet"));
    assert_eq!(titanium.expansion, [0.045, 0.065]);
}
