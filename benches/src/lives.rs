//! How long a life takes: 1e5 cycles in a thousand blocks, and a thousand drawn lives.

use std::time::Instant;

use hoopset::fatigue::constants::growth;
use hoopset::fatigue::crack::{CrackGeometry, CrackSides};
use hoopset::fatigue::cycle::StressCycle;
use hoopset::fatigue::end::Limits;
use hoopset::fatigue::front::band::{Spread, drawn_lives};
use hoopset::fatigue::front::equations::Site;
use hoopset::fatigue::front::field::ResidualField;
use hoopset::fatigue::front::front_life::Draw;
use hoopset::fatigue::front::growth::FrontGrower;
use hoopset::fatigue::front::intensity::FrontTable;
use hoopset::fatigue::front::parts::{FieldShare, FrontCrack, IntensitySource};
use hoopset::fatigue::growth::ROOT_METRE;
use hoopset::fatigue::intensity::StressIntensity;
use hoopset::fatigue::sequence::{Block, LoadSequence};
use hoopset::fatigue::table::IntensityTable;
use hoopset::numeric::profile::Profile;

/// Radius and thickness, mm.
const RADIUS: f64 = 3.0;
const THICKNESS: f64 = 6.0;
/// Blocks of the sequence, and cycles in each.
const BLOCKS: u32 = 1000;
const COUNT: f64 = 1.0;
/// Drawn lives.
const DRAWN: usize = 1000;

/// Prints the times; the stress is such that the plain hole bears about 1e5 cycles.
pub fn times() -> Result<(), String> {
    let clock = Instant::now();
    let grower = grower()?;
    println!("stress intensities of all sizes: {:.3} s", clock.elapsed().as_secs_f64());
    let sequence = sequence(95.0)?;
    let field = FieldShare { whole: 0.0, entry: 0.45 };
    let middle = Draw { flaw: [0.6; 2], field, growth: 1.0 };
    let clock = Instant::now();
    let cycles = grower.life(&sequence, &middle).cycles_borne();
    let seconds = clock.elapsed().as_secs_f64();
    println!("a life of {cycles:.3e} cycles in {BLOCKS} blocks: {seconds:.3} s");
    let spread = Spread {
        middle: Draw { field: FieldShare { whole: 1.0, ..field }, ..middle },
        whole: [0.8, 1.0],
        entry: [0.3, 0.6],
    };
    for (name, sequence) in [("constant amplitude", constant()?), ("1000 blocks", sequence)] {
        let clock = Instant::now();
        let lives = drawn_lives([&grower; 2], &sequence, &spread, DRAWN);
        let seconds = clock.elapsed().as_secs_f64();
        let sum: f64 = lives.iter().map(|pair| pair[1]).filter(|life| life.is_finite()).sum();
        println!(
            "{DRAWN} drawn lives with and without the field, {name}: {seconds:.2} s (check sum {sum:.6e})"
        );
    }
    Ok(())
}

fn constant() -> Result<LoadSequence, String> {
    LoadSequence::constant(StressCycle::between(172.0, 17.2)).map_err(|error| error.to_string())
}

/// Blocks whose highest stress goes up and down between half of `highest` and all of it, ratio 0.1.
fn sequence(highest: f64) -> Result<LoadSequence, String> {
    let blocks = (0..BLOCKS)
        .map(|k| {
            let top = highest * (0.75 + 0.25 * (0.37 * f64::from(k)).sin());
            Block { cycle: StressCycle::between(top, 0.1 * top), count: COUNT }
        })
        .collect();
    LoadSequence::new(blocks).map_err(|error| error.to_string())
}

fn grower() -> Result<FrontGrower, String> {
    let geometry =
        CrackGeometry::new(RADIUS, CrackSides::Two).map_err(|error| error.to_string())?;
    let distances: Vec<f64> = (0..400).map(|k| 0.0004 * f64::from(k * k)).collect();
    let profile = |value: &dyn Fn(f64) -> f64| {
        let values = distances.iter().map(|x| value(x / RADIUS)).collect();
        Profile::new(distances.clone(), values)
    };
    // Kirsch's stress of a hole under tension, and a field like that of an expanded hole.
    let load = profile(&|s| 1.0 + 0.5 * (1.0 + s).powi(-2) + 1.5 * (1.0 + s).powi(-4));
    let residual = profile(&|s| {
        let s = s / 1.4;
        420.0 * if s < 1.0 { s * s - 1.0 } else { 0.3 * (1.0 - s.powi(-2)) / (s * s) }
    });
    let crack = FrontCrack {
        site: Site::HoleCorner(CrackSides::Two),
        geometry,
        thickness: THICKNESS,
        load: load.clone(),
        residual: ResidualField::Plane(residual.clone()),
    };
    let through = StressIntensity::new(geometry, load).with_residual(residual);
    let model = growth("2024-T351 plate").map_err(|error| error.to_string())?.remove(0);
    let table = FrontTable::new(&crack, 0.06, IntensitySource::InfluenceTable);
    Ok(FrontGrower {
        table: table.map_err(|error| error.to_string())?,
        through: IntensityTable::new(&through, 0.06).map_err(|error| error.to_string())?,
        has_entry_share: true,
        geometry,
        contact: model.law.contact_rule(),
        model,
        limits: Limits { toughness: 60.0 * ROOT_METRE, yield_stress: None, most_cycles: 1e9 },
        retardation: None,
        step_share: 1.0,
    })
}
