//! How uncertain the life of a corner crack is: many drawn lives, and what moves each.
//!
//! Drawn independently from a stream with a fixed seed, so the same case gives the same numbers on any
//! machine and any number of threads:
//!
//! | quantity | distribution | source |
//! |---|---|---|
//! | flaw | logarithmic normal about the stated one, a factor of [`FLAW_FACTOR`] at two deviations | a choice |
//! | growth | logarithmic normal, a factor of [`GROWTH_FACTOR`] at two deviations | scatter of growth constants, common practice |
//! | residual field | uniform between the stated shares | bounding hardening laws |
//! | entry face | uniform between the stated shares | measured fields, from memory |

use rayon::prelude::*;
use serde::Serialize;

use crate::fatigue::front::front_life::Draw;
use crate::fatigue::front::growth::FrontGrower;
use crate::fatigue::front::parts::FieldShare;
use crate::fatigue::front::surface::LifeSurface;
use crate::fatigue::sequence::LoadSequence;
use crate::numeric::random::Random;

/// Factor on the flaw at two standard deviations.
pub const FLAW_FACTOR: f64 = 1.5;
/// Factor on growth at two standard deviations.
pub const GROWTH_FACTOR: f64 = 2.0;
/// Seed of the stream.
const SEED: u64 = 17;
/// Percentiles that are reported.
pub const PERCENTILES: [f64; 5] = [5.0, 25.0, 50.0, 75.0, 95.0];

/// Source of the draws.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// Middle of everything.
    pub middle: Draw,
    /// Least and largest factor on the residual field.
    pub whole: [f64; 2],
    /// Least and largest share at the entry face.
    pub entry: [f64; 2],
}

/// A quantity that moves the life, between its ends with all others in the middle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Swing {
    /// Its name.
    pub name: &'static str,
    /// Its ends in words.
    pub ends: [String; 2],
    /// Lives at the ends, cycles; infinite without an end.
    pub lives: [f64; 2],
}

/// Lives of all draws in the order of the draws: of the crack `expanded` with the residual field, and of the crack
/// `plain` without; infinite where the crack arrests.
///
/// The two are the cracks that live shortest in the part with the field and without: the same one, or two places. Under
/// a sequence of many blocks most are read from a surface of lives (`surface`), within 0.5 % of their own.
#[must_use]
pub fn drawn_lives(
    [expanded, plain]: [&FrontGrower; 2],
    sequence: &LoadSequence,
    spread: &Spread,
    count: usize,
) -> Vec<[f64; 2]> {
    let mut random = Random::new(SEED);
    let draws: Vec<Draw> = (0..count).map(|_| draw(spread, &mut random)).collect();
    let bare: Vec<Draw> = draws.iter().map(Draw::plain).collect();
    let surface = |grower, draws: &[Draw]| LifeSurface::new(grower, sequence, spread.middle, draws);
    let (with, without) = (surface(expanded, &draws), surface(plain, &bare));
    let pairs = draws.par_iter().zip(&bare);
    pairs.map(|(own, bare)| [with.cycles_borne(own), without.cycles_borne(bare)]).collect()
}

/// The values of `all` that are numbers, rising.
#[must_use]
pub fn rising(all: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sorted: Vec<f64> = all.filter(|value| !value.is_nan()).collect();
    sorted.sort_by(f64::total_cmp);
    sorted
}

fn draw(spread: &Spread, random: &mut Random) -> Draw {
    let factor = |random: &mut Random, at_two: f64| (0.5 * at_two.ln() * random.normal()).exp();
    let between = |random: &mut Random, [low, high]: [f64; 2]| low + (high - low) * random.share();
    let flaw = factor(random, FLAW_FACTOR);
    let growth = factor(random, GROWTH_FACTOR);
    let whole = between(random, spread.whole);
    let entry = between(random, spread.entry);
    Draw {
        flaw: spread.middle.flaw.map(|size| size * flaw),
        field: FieldShare { whole, entry },
        growth: spread.middle.growth * growth,
    }
}

/// The value of sorted `lives` at a percentile, the nearest rank.
#[must_use]
pub fn percentile(lives: &[f64], percent: f64) -> f64 {
    let rank = (percent / 100.0 * lives.len() as f64).ceil();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "bounded by the number of lives on the line itself"
    )]
    let index = rank.clamp(1.0, lives.len().max(1) as f64) as usize - 1;
    lives.get(index).copied().unwrap_or(f64::NAN)
}

/// The life at both ends of every quantity, the one that moves it most first.
#[must_use]
pub fn swings(grower: &FrontGrower, sequence: &LoadSequence, spread: &Spread) -> Vec<Swing> {
    let middle = spread.middle;
    let life = |draw: Draw| grower.life(sequence, &draw).cycles_borne();
    let pair =
        |name, ends: [String; 2], draws: [Draw; 2]| Swing { name, ends, lives: draws.map(life) };
    let percent =
        |[low, high]: [f64; 2]| [low, high].map(|share| format!("{:.0} %", 100.0 * share));
    let times = |factor: f64| [format!("× {factor}"), format!("÷ {factor}")];
    let mut all = vec![
        pair(
            "flaw",
            times(FLAW_FACTOR),
            [FLAW_FACTOR, FLAW_FACTOR.recip()]
                .map(|f| Draw { flaw: middle.flaw.map(|size| size * f), ..middle }),
        ),
        pair(
            "growth constants",
            times(GROWTH_FACTOR),
            [GROWTH_FACTOR, GROWTH_FACTOR.recip()]
                .map(|f| Draw { growth: middle.growth * f, ..middle }),
        ),
        pair(
            "residual field",
            percent(spread.whole),
            spread
                .whole
                .map(|whole| Draw { field: FieldShare { whole, ..middle.field }, ..middle }),
        ),
        pair(
            "entry face",
            percent(spread.entry),
            spread
                .entry
                .map(|entry| Draw { field: FieldShare { entry, ..middle.field }, ..middle }),
        ),
    ];
    let width = |swing: &Swing| {
        let [a, b] = swing.lives.map(f64::ln);
        let width = (b - a).abs();
        if width.is_nan() { 0.0 } else { width }
    };
    all.sort_by(|a, b| width(b).total_cmp(&width(a)));
    all
}
