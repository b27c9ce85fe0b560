//! Growth of part-elliptical cracks in a residual field: shares of the field, steps, overloads, drawn lives.

use hoopset::fatigue::crack::{CrackGeometry, CrackSides};
use hoopset::fatigue::cycle::{StressCycle, StressRatio};
use hoopset::fatigue::front::band::{Spread, drawn_lives, percentile, rising, swings};
use hoopset::fatigue::front::equations::{Site, unit_intensity};
use hoopset::fatigue::front::field::ResidualField;
use hoopset::fatigue::front::front_life::{Draw, FrontEnd};
use hoopset::fatigue::front::growth::FrontGrower;
use hoopset::fatigue::front::intensity::{ANGLES, FrontTable};
use hoopset::fatigue::front::parts::{FieldShare, FrontCrack, IntensitySource};
use hoopset::fatigue::front::weight::FrontWeight;
use hoopset::fatigue::growth::{GrowthLaw, ROOT_METRE};
use hoopset::fatigue::intensity::{ContactRule, StressIntensity};
use hoopset::fatigue::sequence::{Block, LoadSequence};
use hoopset::fatigue::table::IntensityTable;
use hoopset::numeric::profile::Profile;

use crate::front::wide;
use crate::life::limits;
use crate::profiles::{given, sampled, uniaxial};

/// A residual field like that of an expanded hole: compression over 1.4 radii, then a fading tension.
fn expanded_hole(r: f64) -> f64 {
    let s = (r - 1.0) / 1.4;
    if s < 1.0 { s.powi(2) - 1.0 } else { 0.3 * (1.0 - s.powi(-2)) / s.powi(2) }
}

/// One corner crack of the example, in a wide plate, with a residual field.
fn grower(residual: f64, retardation: Option<f64>) -> FrontGrower {
    let geometry = CrackGeometry::new(3.175, CrackSides::One).unwrap();
    let crack = FrontCrack {
        site: Site::HoleCorner(CrackSides::One),
        geometry,
        thickness: 6.35,
        load: sampled(3.175, uniaxial),
        residual: ResidualField::Plane(sampled(3.175, |r| residual * expanded_hole(r))),
    };
    let law = GrowthLaw::Walker { coefficient: 1e-10, exponent: 3.0, gamma: 0.5, threshold: None };
    let through = StressIntensity::new(geometry, crack.load.clone())
        .with_residual(crack.residual.through_mean());
    let mut limits = limits(60.0 * ROOT_METRE);
    limits.yield_stress = Some(350.0);
    FrontGrower {
        table: FrontTable::new(&crack, 0.06, IntensitySource::PublishedEquations).unwrap(),
        through: IntensityTable::new(&through, 0.06).unwrap(),
        has_entry_share: true,
        geometry,
        model: given(law),
        limits,
        contact: ContactRule::OpenPart,
        retardation,
        step_share: 1.0,
    }
}

fn load(maximum: f64, ratio: f64) -> LoadSequence {
    LoadSequence::constant(StressCycle::with_ratio(maximum, StressRatio(ratio))).unwrap()
}

fn middle(flaw: f64, entry: f64) -> Draw {
    Draw { flaw: [flaw; 2], field: FieldShare { whole: 1.0, entry }, growth: 1.0 }
}

#[test]
fn the_grid_answers_as_the_weight_function_does_at_sizes_between() {
    // A field in proportion to the load is a load: the equations come back. The residual part between
    // sizes of the grid is that of the weight function itself.
    let expanded = grower(450.0, None);
    let plate = wide(3.175, 6.35);
    let weights = ANGLES.map(FrontWeight::new);
    let (field, hole) = (sampled(3.175, |r| 450.0 * expanded_hole(r)), sampled(3.175, uniaxial));
    for size in [[0.127, 0.127], [0.3, 0.5], [1.27, 1.27], [2.0, 3.3], [4.0, 2.6], [6.0, 4.0]] {
        let found = expanded.table.at(size);
        for (tip, phi) in ANGLES.into_iter().enumerate() {
            let unit = unit_intensity(Site::HoleCorner(CrackSides::One), size, &plate, phi);
            // 1e-4: the sampled load is made of straight lines.
            assert!((found[tip].load / unit - 1.0).abs() < 1e-4);
            let [over, under] =
                weights[tip].integrals(size, |x, _| [&field, &hole].map(|p| p.at(x).unwrap()));
            let exact = unit * over / under;
            // A residual K that nearly cancels counts against what 50 MPa of load would make.
            let error = (found[tip].residual - exact) / exact.abs().max(50.0 * unit);
            println!("{size:?} {phi}: {exact:.1}, off by {:.2} %", 100.0 * error);
            assert!(error.abs() < 1e-2, "{size:?} {phi}: {error}");
        }
    }
}

#[test]
fn a_corner_crack_grows_as_the_equations_say_until_it_is_through() {
    // The computed example in a wide plate: the same integration with the fine steps of this file.
    let life = grower(0.0, None).life(&load(120.0, 0.1), &middle(1.27, 1.0));
    let through = life.points[life.through_at.unwrap()];
    assert!((through.a / 6.35 - 1.0).abs() < 1e-9);
    let law = |k: f64| 1e-7 * (k / 0.9_f64.sqrt()).powi(3);
    let plate = wide(3.175, 6.35);
    let (mut a, mut c, mut cycles) = (1.27, 1.27, 0.0);
    while a < 6.35 {
        let rate = |phi: f64| {
            let k = unit_intensity(Site::HoleCorner(CrackSides::One), [a, c], &plate, phi);
            law(k * 108.0 / ROOT_METRE)
        };
        let (dc, da) = (rate(5.0), rate(80.0));
        let h = 2e-4 * (a / da).min(c / dc);
        (a, c, cycles) = (a + h * da, c + h * dc, cycles + h);
    }
    println!(
        "through after {:.0} cycles at c {:.3}; by fine steps {cycles:.0}, {c:.3}",
        through.cycles, through.c
    );
    assert!((through.cycles / cycles - 1.0).abs() < 1e-2, "{} {cycles}", through.cycles);
    assert!((through.c / c - 1.0).abs() < 1e-2);
    assert!(life.end != FrontEnd::Arrest && life.cycles_borne() > through.cycles);
}

#[test]
fn the_entry_face_decides_what_the_residual_field_is_worth() {
    let expanded = grower(450.0, None);
    let plain = expanded.life(
        &load(172.0, 0.1),
        &Draw { field: FieldShare { whole: 0.0, entry: 1.0 }, ..middle(1.27, 1.0) },
    );
    let factors: Vec<f64> = [0.0, 0.2, 0.4, 1.0]
        .map(|entry| {
            let life = expanded.life(&load(172.0, 0.1), &middle(1.27, entry));
            life.cycles_borne() / plain.cycles_borne()
        })
        .to_vec();
    println!("factors with an entry face of 0, 0.2, 0.4, 1: {factors:.1?}");
    assert!(factors.windows(2).all(|pair| pair[0] < pair[1]), "{factors:?}");
    assert!(factors[3].is_infinite() || factors[3] > 3.0 * factors[2], "{factors:?}");
    // The crack runs along the face that protects it least.
    let weak = expanded.life(&load(172.0, 0.1), &middle(1.27, 0.0));
    let early = weak.points.iter().find(|point| point.c > 2.5).unwrap();
    assert!(early.c > 1.1 * early.a, "{early:?}");
}

#[test]
fn halving_the_steps_hardly_changes_a_life_even_where_the_crack_almost_stops() {
    let usual = grower(450.0, None);
    let fine = FrontGrower { step_share: 0.5, ..usual.clone() };
    let mut slowest: f64 = 0.0;
    for (stress, entry) in [(172.0, 0.0), (172.0, 0.2), (172.0, 0.3), (150.0, 0.1), (140.0, 0.0)] {
        let lives = [&usual, &fine]
            .map(|g| g.life(&load(stress, 0.1), &middle(1.27, entry)).cycles_borne());
        println!("{stress} MPa, entry {entry}: {lives:.0?}");
        assert!(lives[0].is_infinite() == lives[1].is_infinite());
        assert!(lives[0].is_infinite() || (lives[0] / lives[1] - 1.0).abs() < 5e-3, "{lives:?}");
        slowest = slowest.max(if lives[0].is_finite() { lives[0] } else { 0.0 });
    }
    assert!(slowest > 2e5, "one of them almost stops: {slowest}");
}

#[test]
fn an_overload_retards_and_only_where_it_is_asked_for() {
    let cycle = |top: f64| StressCycle::with_ratio(top, StressRatio(0.1));
    let once = LoadSequence::new(vec![
        Block { cycle: cycle(100.0), count: 2000.0 },
        Block { cycle: cycle(180.0), count: 1.0 },
    ])
    .unwrap();
    let lives = [None, Some(0.0), Some(1.4)]
        .map(|power| grower(0.0, power).life(&once, &middle(1.27, 1.0)).cycles_borne());
    println!("no retardation, exponent 0, 1.4: {lives:.0?}");
    assert!((lives[1] / lives[0] - 1.0).abs() < 2e-2, "exponent 0 is none");
    assert!(lives[2] > 1.05 * lives[0], "{lives:?}");
}

#[test]
fn drawn_lives_repeat_and_surround_the_middle() {
    let expanded = grower(450.0, None);
    let spread = Spread { middle: middle(1.27, 0.3), whole: [0.8, 1.0], entry: [0.1, 0.4] };
    let sequence = load(172.0, 0.1);
    let drawn = drawn_lives([&expanded; 2], &sequence, &spread, 200);
    assert_eq!(drawn, drawn_lives([&expanded; 2], &sequence, &spread, 200));
    let lives = rising(drawn.iter().map(|pair| pair[0]));
    let own = expanded.life(&sequence, &spread.middle).cycles_borne();
    let [low, high] = [5.0, 95.0].map(|percent| percentile(&lives, percent));
    println!("{low:.0} to {high:.0}, middle {own:.0}");
    assert!(low < own && own < high && high > 1.5 * low);
    let all = swings(&expanded, &sequence, &spread);
    // Growth constants scale a life exactly: twice as fast is half as long.
    let growth = all.iter().find(|swing| swing.name == "growth constants").unwrap();
    let ratio: f64 = 4.0 * growth.lives[0] / growth.lives[1];
    assert!((ratio - 1.0).abs() < 1e-2, "{growth:?}");
}

/// A pass of three cycles, and the same written eight times over: the lives must be the same. The long one is read from
/// a surface of lives, the short one grown draw by draw. 0.5 % is what a life may be off by
/// for halved steps too. The numbers of threads must not matter.
#[test]
fn lives_read_from_a_surface_are_those_that_were_grown_one_by_one() {
    let cycle =
        |top: f64| Block { cycle: StressCycle::with_ratio(top, StressRatio(0.1)), count: 1.0 };
    let short = [172.0, 130.0, 155.0].map(cycle);
    let long: Vec<Block> = (0..24).map(|k| short[k % 3]).collect();
    let [short, long] = [short.to_vec(), long].map(|blocks| LoadSequence::new(blocks).unwrap());
    for (residual, entry) in [(450.0, [0.1, 0.4]), (300.0, [0.3, 0.6]), (250.0, [0.45, 0.45])] {
        let expanded = grower(residual, None);
        let spread = Spread { middle: middle(1.27, 0.3), whole: [0.8, 1.0], entry };
        let drawn = |sequence| drawn_lives([&expanded; 2], sequence, &spread, 1000);
        let on = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| drawn(&long))
        };
        let (found, known) = (on(1), drawn(&short));
        assert_eq!(found, on(2));
        let pairs = found.iter().flatten().zip(known.iter().flatten());
        let errors: Vec<f64> = pairs
            .map(|(found, known)| if found == known { 0.0 } else { (found / known - 1.0).abs() })
            .collect();
        let largest = errors.iter().copied().fold(0.0, f64::max);
        let endless = known.iter().filter(|pair| pair[0].is_infinite()).count();
        println!("{residual} MPa, entry {entry:?}: off by {largest:.1e}; {endless} without an end");
        assert!(errors.iter().all(|error| *error < 5e-3), "{residual}: {largest}");
    }
}

/// Lives of some twenty passes in which the stresses rise and fall, read but for their last passes, against lives with every
/// block taken by itself, which retardation with the exponent 0 asks for. A life ends at one of the blocks that grow the crack
/// by much: some differ by one of these.
#[test]
fn lives_of_few_passes_end_where_their_blocks_in_order_end_them() {
    let blocks = |count: f64| {
        let top = |k: u32| 172.0 * (0.75 + 0.25 * (0.37 * f64::from(k)).sin());
        let cycle = |k: u32| StressCycle::with_ratio(top(k), StressRatio(0.1));
        let all = (0..200).map(|k| Block { cycle: cycle(k), count });
        LoadSequence::new(all.collect()).unwrap()
    };
    let middle = middle(1.27, 1.0).plain();
    let whole = grower(0.0, None).life(&blocks(1.0), &middle).cycles_borne();
    let sequence = blocks(whole / (22.0 * 200.0));
    let spread = Spread { middle, whole: [0.0; 2], entry: [1.0; 2] };
    let [read, grown] = [None, Some(0.0)].map(|retardation| {
        let plain = grower(0.0, retardation);
        drawn_lives([&plain; 2], &sequence, &spread, 200)
    });
    let passes = rising(grown.iter().map(|pair| pair[1] / sequence.cycles_in_pass()));
    let errors =
        rising(read.iter().zip(&grown).map(|(one, other)| (one[1] / other[1] - 1.0).abs()));
    let [half, most, all] = [50.0, 90.0, 100.0].map(|percent| percentile(&errors, percent));
    println!(
        "{:.1} to {:.1} passes: off by {half:.1e}, {most:.1e}, {all:.1e}",
        passes[0], passes[199]
    );
    assert!(passes[0] < 12.0 && (20.0..24.0).contains(&percentile(&passes, 50.0)), "{passes:?}");
    assert!(half > 0.0, "none was read");
    assert!(most < 3e-3 && all < 5e-3, "{errors:?}");
}

#[test]
fn a_crack_in_the_bore_and_one_at_the_plate_edge_are_followed_too() {
    let geometry = CrackGeometry::at_plate_edge(9.0).unwrap();
    let flat = Profile::new(vec![0.0, 9.0], vec![1.0, 1.0]);
    let none = Profile::new(vec![0.0, 9.0], vec![0.0, 0.0]);
    let at_edge = FrontCrack {
        site: Site::EdgeCorner,
        geometry,
        thickness: 6.0,
        load: flat,
        residual: ResidualField::Plane(none),
    };
    let table = FrontTable::new(&at_edge, 0.1, IntensitySource::InfluenceTable).unwrap();
    let exact = unit_intensity(Site::EdgeCorner, [0.5, 0.5], &wide(1e6, 6.0), 5.0);
    // 1 %: the metal in front of the crack is a little shorter than endless.
    assert!((table.at([0.5; 2])[0].load / exact - 1.0).abs() < 1e-2);
    let hole = CrackGeometry::new(3.0, CrackSides::Two).unwrap();
    let bore = FrontCrack {
        site: Site::Bore(CrackSides::Two),
        geometry: hole,
        thickness: 6.0,
        load: sampled(3.0, uniaxial),
        residual: ResidualField::Plane(sampled(3.0, |r| -100.0 * r.powi(-2))),
    };
    let table = FrontTable::new(&bore, 0.1, IntensitySource::InfluenceTable).unwrap();
    let exact = unit_intensity(Site::Bore(CrackSides::Two), [1.0, 1.2], &wide(3.0, 3.0), 80.0);
    let found = table.at([1.0, 1.2])[1];
    assert!((found.load / exact - 1.0).abs() < 3e-3, "{} {exact}", found.load);
    assert!(found.residual < 0.0 && found.lack == 0.0);
}
