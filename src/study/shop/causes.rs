//! Kinds of trouble that an odd hole may have had, ranked by the likelihood of its readings.
//!
//! Each kind says what the readings would be. `p(y | kind) = ∫ p(y | kind, δ) p(δ) dδ` is the marginal likelihood of
//! all readings of the hole, with the size `δ` of the trouble unknown; with all kinds alike beforehand, the share of a
//! kind is its part of the sum (R. E. Kass, A. E. Raftery, J. Amer. Statist. Assoc. 90 (1995) 773–795, from memory).
//! Readings that a kind says nothing of are those of a sound hole: sizes with the mean and the spread of their limits,
//! the expanded diameter as the model has it.
//!
//! How large troubles are is common practice without a source; the order depends little on it.

use crate::study::shop::densities::{above, below, beyond, either, normal, sound};
use crate::study::shop::judge::{Bench, Expected, Judged};
use crate::study::shop::output::Sizes;
use crate::study::shop::readings::{Gauge, Known};

/// How far a hole or a ream of a wrong size is off, share of it.
const WRONG_SIZE: f64 = 0.02;
/// How far a worn or a wrong tool is off, share of its diameter; a sleeve, share of its wall.
const WRONG_TOOL: f64 = 0.01;
const WRONG_SLEEVE: f64 = 0.2;
/// How far a wrong reading is off, share of the diameter.
const WRONG_READING: f64 = 0.05;

/// A kind of trouble.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// No tool went through: the expanded diameter is the starting diameter.
    NotExpanded,
    /// The tool went through a hole that was reamed already: the expanded diameter is that of the ream.
    ReamedFirst,
    /// The mandrel went through without its sleeve.
    SleeveLeftOut,
    /// The mandrel is smaller than stated, or below its limit.
    WornMandrel,
    /// The tool is larger than stated, or above its limit.
    LargeTool,
    /// The wall of the sleeve lies outside its limits.
    WrongSleeve,
    /// The starting hole is above its limit.
    StartTooLarge,
    /// The starting hole is below its limit.
    StartTooSmall,
    /// The diameter after the ream lies outside its limits.
    WrongReam,
    /// The readings before and after expansion stand in each other's place.
    Interchanged,
    /// The expanded diameters of two holes stand in each other's place.
    Swapped,
    /// The reading of the expanded diameter is wrong.
    WrongReading,
}

impl Kind {
    /// Its name, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NotExpanded => "not expanded",
            Self::ReamedFirst => "reamed before expansion",
            Self::SleeveLeftOut => "sleeve left out",
            Self::WornMandrel => "worn mandrel",
            Self::LargeTool => "tool larger than stated",
            Self::WrongSleeve => "wrong sleeve",
            Self::StartTooLarge => "starting hole too large",
            Self::StartTooSmall => "starting hole too small",
            Self::WrongReam => "wrong ream",
            Self::Interchanged => "start and expanded readings interchanged",
            Self::Swapped => "expanded reading of another hole",
            Self::WrongReading => "wrong reading of the expanded diameter",
        }
    }

    /// The readings that it makes odd.
    #[must_use]
    pub fn explains(self) -> &'static [Gauge] {
        match self {
            Self::WornMandrel | Self::LargeTool => {
                &[Gauge::Mandrel, Gauge::Sleeve, Gauge::Expanded]
            }
            Self::WrongSleeve => &[Gauge::Sleeve],
            Self::StartTooLarge | Self::StartTooSmall => &[Gauge::Start],
            Self::WrongReam => &[Gauge::Reamed],
            Self::Interchanged => &[Gauge::Start, Gauge::Expanded],
            _ => &[Gauge::Expanded],
        }
    }
}

/// A kind of trouble that a hole may have had.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cause {
    /// Which.
    pub kind: Kind,
    /// Its share of the likelihood of all kinds, 0 to 1.
    pub share: f64,
    /// Applied expansion if it is so, a fraction.
    pub expansion: f64,
    /// Index of the hole whose reading it would be.
    pub partner: Option<usize>,
}

/// Another odd hole whose expanded reading may stand in place of this one's.
#[derive(Clone, Copy, Debug)]
pub struct Other {
    /// Its index.
    pub index: usize,
    /// Its expected diameter.
    pub expected: Expected,
    /// Its reading and standard error, mm.
    pub read: [f64; 2],
}

/// Evidence of one hole.
struct Evidence<'a> {
    bench: &'a Bench<'a>,
    judged: &'a Judged,
    /// Readings of sizes of a sound hole, and all of them.
    sizes: [Option<f64>; 4],
    /// Of the expanded diameter: read less expected, variance.
    expanded: Option<[f64; 2]>,
}

impl<'a> Evidence<'a> {
    fn new(bench: &'a Bench<'a>, judged: &'a Judged) -> Self {
        let read = |known: Option<Known>| known.filter(|known| known.read).map(|k| sound(&k));
        let expanded = judged.readings.expanded.zip(judged.innovation);
        Self {
            bench,
            judged,
            sizes: judged.readings.sizes.map(read),
            expanded: expanded.map(|([_, error], [by, _])| {
                [by, error * error + judged.expected.error * judged.expected.error]
            }),
        }
    }

    fn known(&self, gauge: Gauge) -> Option<&Known> {
        self.judged.readings.size(gauge).filter(|known| known.read)
    }

    /// Logarithm of the likelihood of all readings but those of `without`.
    fn rest(&self, without: &[Gauge]) -> f64 {
        let order = [Gauge::Start, Gauge::Mandrel, Gauge::Sleeve, Gauge::Reamed];
        let sizes = order.iter().zip(self.sizes).filter(|(gauge, _)| !without.contains(gauge));
        let sizes: f64 = sizes.filter_map(|(_, density)| density).sum();
        let expanded = self.expanded.filter(|_| !without.contains(&Gauge::Expanded));
        sizes + expanded.map_or(0.0, |[by, variance]| normal(by, variance))
    }

    /// Density of the expanded diameter if the hole had been worked with `sizes`, and the applied expansion then.
    fn worked(&self, sizes: &Sizes, errors: [f64; 4]) -> Option<[f64; 2]> {
        let [read, error] = self.judged.readings.expanded?;
        let mut expected = self.bench.expected(sizes, errors);
        let applied = sizes.expansion().max(0.0);
        if applied <= 0.0 {
            // Nothing touched the hole: it is read twice, and the model has no part in it.
            expected = Expected { value: sizes.start, error: errors[0], slope: 0.0 };
        }
        let by = read - expected.value;
        let density = normal(by, error * error + expected.error * expected.error);
        Some([self.rest(&[Gauge::Expanded]) + density, applied])
    }

    /// Logarithm of the likelihood of `kind`, and the applied expansion if it is so.
    fn of(&self, kind: Kind) -> Option<[f64; 2]> {
        let readings = &self.judged.readings;
        let [start, mandrel, _, reamed] = readings.values();
        let errors = readings.errors();
        let sizes = readings.as_sizes(readings.values());
        let own = self.judged.expansion[0];
        let expanded = readings.expanded;
        match kind {
            Kind::NotExpanded => self.worked(&Sizes { acting: 0.0, ..sizes }, errors),
            Kind::ReamedFirst => {
                let known = self.known(Gauge::Reamed)?;
                let errors = [known.error, errors[1], errors[2], 0.0];
                self.worked(&Sizes { start: reamed, ..sizes }, errors)
            }
            Kind::SleeveLeftOut => {
                readings.size(Gauge::Sleeve)?;
                let errors = [errors[0], errors[1], 0.0, errors[3]];
                self.worked(&Sizes { acting: mandrel, ..sizes }, errors)
            }
            Kind::WornMandrel => self.tool(-1.0, mandrel),
            Kind::LargeTool => self.tool(1.0, mandrel),
            Kind::WrongSleeve => {
                let known = self.known(Gauge::Sleeve)?;
                let size = WRONG_SLEEVE * known.size.middle();
                let density = either(above(known, size), below(known, size));
                Some([self.rest(&[Gauge::Sleeve]) + density, own])
            }
            Kind::StartTooLarge => {
                let density = above(self.known(Gauge::Start)?, WRONG_SIZE * start);
                Some([self.rest(&[Gauge::Start]) + density, own])
            }
            Kind::StartTooSmall => {
                let density = below(self.known(Gauge::Start)?, WRONG_SIZE * start);
                Some([self.rest(&[Gauge::Start]) + density, own])
            }
            Kind::WrongReam => {
                let known = self.known(Gauge::Reamed)?;
                let size = WRONG_SIZE * known.size.middle();
                let density = either(above(known, size), below(known, size));
                Some([self.rest(&[Gauge::Reamed]) + density, own])
            }
            Kind::Interchanged => self.interchanged(expanded?),
            Kind::WrongReading => {
                let [by, variance] = self.expanded?;
                let size = WRONG_READING * start;
                Some([self.rest(&[Gauge::Expanded]) + normal(by, variance + size * size), own])
            }
            // Needs the other holes.
            Kind::Swapped => None,
        }
    }

    /// A tool that is smaller (`side` −1) or larger (1) than stated, or than its limits.
    fn tool(&self, side: f64, mandrel: f64) -> Option<[f64; 2]> {
        let Expected { slope, .. } = self.judged.expected;
        let size = WRONG_TOOL * mandrel;
        let unread = self.expanded.map(|[by, variance]| {
            let density = beyond(side * by, slope * size, variance.sqrt());
            self.rest(&[Gauge::Expanded]) + density
        });
        let read = self.known(Gauge::Mandrel).map(|known| {
            let density = if side < 0.0 { below(known, size) } else { above(known, size) };
            self.rest(&[Gauge::Mandrel]) + density
        });
        // When the reading of the mandrel tells it, the expansion is that of the readings.
        let by = self.expanded.map_or(0.0, |[by, _]| by);
        let acting_by = if slope > 0.1 { by / slope } else { 0.0 };
        let start = self.judged.readings.values()[0];
        let other = self.judged.expansion[0] + acting_by / start;
        match (unread, read) {
            (Some(unread), Some(read)) => {
                let applied = if read > unread { self.judged.expansion[0] } else { other };
                Some([either(unread, read), applied])
            }
            (Some(unread), None) => Some([unread, other]),
            (None, Some(read)) => Some([read, self.judged.expansion[0]]),
            (None, None) => None,
        }
    }

    fn interchanged(&self, [read, error]: [f64; 2]) -> Option<[f64; 2]> {
        let known = self.known(Gauge::Start)?;
        let readings = &self.judged.readings;
        let sizes = Sizes { start: read, ..readings.as_sizes(readings.values()) };
        let [_, mandrel, sleeve, reamed] = readings.errors();
        let expected = self.bench.expected(&sizes, [error, mandrel, sleeve, reamed]);
        let by = known.value - expected.value;
        let after = normal(by, known.error * known.error + expected.error * expected.error);
        let before = sound(&Known { value: read, error, ..*known });
        let rest = self.rest(&[Gauge::Start, Gauge::Expanded]);
        Some([rest + before + after, sizes.expansion()])
    }

    /// The expanded reading of one of `others` in place of its own, and the other way round. In any other kind
    /// the reading of the other hole is merely wrong.
    fn swapped(&self, own: usize, others: &[Other]) -> Option<([f64; 2], usize)> {
        let [read, error] = self.judged.readings.expanded?;
        let start = self.judged.readings.values()[0];
        let mut best: Option<(f64, usize)> = None;
        let (mut sum, mut count) = (0.0, 0);
        for other in others.iter().filter(|other| other.index != own) {
            let variance =
                |error: f64, expected: Expected| error * error + expected.error * expected.error;
            let own_variance = variance(other.read[1], self.judged.expected);
            let there = normal(other.read[0] - self.judged.expected.value, own_variance);
            let its_variance = variance(error, other.expected);
            let here = normal(read - other.expected.value, its_variance);
            let wrong = WRONG_READING * start;
            let else_there =
                normal(other.read[0] - other.expected.value, its_variance + wrong * wrong);
            let weight = here + there - else_there;
            sum += weight.exp();
            count += 1;
            if best.is_none_or(|(most, _)| weight > most) {
                best = Some((weight, other.index));
            }
        }
        let (_, partner) = best.filter(|_| sum > 0.0)?;
        let density = self.rest(&[Gauge::Expanded]) + (sum / f64::from(count)).ln();
        Some(([density, self.judged.expansion[0]], partner))
    }
}

/// All kinds that need the readings of the hole alone.
const OWN: [Kind; 11] = [
    Kind::NotExpanded,
    Kind::ReamedFirst,
    Kind::SleeveLeftOut,
    Kind::WornMandrel,
    Kind::LargeTool,
    Kind::WrongSleeve,
    Kind::StartTooLarge,
    Kind::StartTooSmall,
    Kind::WrongReam,
    Kind::Interchanged,
    Kind::WrongReading,
];

/// The kinds that the readings of hole `index` may show, the likeliest first, and whether no one of them alone
/// explains every odd reading. `others` are the odd expanded readings of the lot.
#[must_use]
pub fn causes(
    bench: &Bench<'_>,
    judged: &Judged,
    index: usize,
    others: &[Other],
) -> (Vec<Cause>, bool) {
    if judged.alarms.is_empty() {
        return (vec![], false);
    }
    let evidence = Evidence::new(bench, judged);
    let mut found: Vec<(Cause, f64)> = OWN
        .into_iter()
        .filter_map(|kind| {
            let [density, expansion] = evidence.of(kind)?;
            let cause = Cause { kind, share: 0.0, expansion, partner: None };
            density.is_finite().then_some((cause, density))
        })
        .collect();
    if let Some(([density, expansion], partner)) = evidence.swapped(index, others)
        && density.is_finite()
    {
        let partner = Some(partner);
        found.push((Cause { kind: Kind::Swapped, share: 0.0, expansion, partner }, density));
    }
    let most = found.iter().fold(f64::NEG_INFINITY, |most, (_, density)| most.max(*density));
    let sum: f64 = found.iter().map(|(_, density)| (density - most).exp()).sum();
    let mut causes: Vec<Cause> = found
        .into_iter()
        .map(|(cause, density)| Cause { share: (density - most).exp() / sum, ..cause })
        .collect();
    causes.sort_by(|a, b| b.share.total_cmp(&a.share));
    let explained =
        |kind: Kind| judged.alarms.iter().all(|alarm| kind.explains().contains(&alarm.gauge));
    let several = causes.first().is_some_and(|best| !explained(best.kind));
    (causes, several)
}
