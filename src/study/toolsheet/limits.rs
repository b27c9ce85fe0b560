//! Tolerance arithmetic: limits of starting hole, mandrel, gauges from those of the finished hole.
//!
//! Applied expansion is `(mandrel + 2 sleeve − start) / start` (common practice, no source). It is
//! smallest with a worn-out mandrel, the thinnest sleeve and the largest starting hole. Lengths in mm.

use crate::case::complaint::Complaint;
use crate::case::sheet::Sheet;
use crate::study::toolsheet::sizes::Sizes;
use crate::study::toolsheet::solve::Expanded;

/// Ream allowance that is chosen when the file leaves it open: a share of the finished diameter,
/// within these limits (0.1 to 0.4 mm for small holes: common practice, no source).
pub(super) const ALLOWANCE: f64 = 0.03;
const ALLOWANCES: [f64; 2] = [0.1, 0.4];

/// Share of the applied expansion that is first taken to stay (0.6 to 0.75 in aluminium: common
/// practice, no source); the first solution corrects it.
const KEPT: f64 = 0.7;

/// How much of a wider starting hole is left after expansion by one tool, at most; 0.07 was found
/// for 2024-T351 at 4 %.
const START_TO_EXPANDED: f64 = 0.1;

/// A step is met this closely, as a share of it: rounding of decimal fractions.
const ON_STEP: f64 = 1e-6;

/// Smallest and largest permitted sizes, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Start hole: also its go and its no-go plug.
    pub start: [f64; 2],
    /// Major diameter of a new mandrel.
    pub mandrel: [f64; 2],
    /// Major diameter at which a mandrel is worn out.
    pub worn: f64,
    /// Wall of the sleeve.
    pub sleeve: [f64; 2],
    /// Finished hole: the diameter the ream leaves.
    pub finished: [f64; 2],
    /// Diameter from the nominal expanded to the nominal finished hole, as asked for or chosen.
    pub allowance: f64,
}

impl Limits {
    /// The sizes of the smallest (0), nominal (1) and largest (2) expansion. The smallest goes
    /// with the deepest ream, the largest with the shallowest: the ends of what is left.
    #[must_use]
    pub fn corner(&self, which: usize) -> Sizes {
        let middle = |[low, high]: [f64; 2]| 0.5 * (low + high);
        let in_use = [self.worn, self.mandrel[1]];
        match which {
            0 => Sizes {
                start: self.start[1],
                mandrel: self.worn,
                sleeve: self.sleeve[0],
                finished: self.finished[1],
            },
            1 => Sizes {
                start: middle(self.start),
                mandrel: middle(in_use),
                sleeve: middle(self.sleeve),
                finished: middle(self.finished),
            },
            _ => Sizes {
                start: self.start[0],
                mandrel: self.mandrel[1],
                sleeve: self.sleeve[1],
                finished: self.finished[0],
            },
        }
    }

    /// The smallest tool in the smallest starting hole, and the largest in the largest: the ends of the
    /// diameter after expansion, which grows with both.
    #[must_use]
    pub fn gauge_ends(&self) -> [Sizes; 2] {
        let [small, large] = [0, 2].map(|which| self.corner(which));
        [Sizes { start: self.start[0], ..small }, Sizes { start: self.start[1], ..large }]
    }

    /// The largest whole step that every expanded hole from `smallest` on lets in, and no start
    /// hole.
    #[must_use]
    pub fn plug(&self, smallest: f64, step: f64) -> Option<f64> {
        Some(down(smallest, step)).filter(|plug| *plug > self.start[1] + ON_STEP * step)
    }
}

/// The largest multiple of `step` up to `size`.
fn down(size: f64, step: f64) -> f64 {
    step * (size / step + ON_STEP).floor()
}

/// Diameters between which the mandrel must always lie: smaller and the largest starting hole gets
/// less than the lowest expansion, larger and the smallest gets more than the highest. The first
/// may exceed the second.
#[must_use]
pub fn mandrel_window(start: [f64; 2], sleeve: [f64; 2], expansion: [f64; 2]) -> [f64; 2] {
    [
        start[1] * (1.0 + expansion[0]) - 2.0 * sleeve[0],
        start[0] * (1.0 + expansion[1]) - 2.0 * sleeve[1],
    ]
}

fn middle([low, high]: [f64; 2]) -> f64 {
    0.5 * (low + high)
}

/// Largest increase of the nominal expanded diameter by the tolerances of the tool.
fn tool_spread(sheet: &Sheet) -> f64 {
    0.5 * (sheet.mandrel_band + sheet.mandrel_wear) + 2.0 * sheet.sleeve_tolerance
}

/// Allowance that leaves the least cut in the worst case: smallest ream, largest tool, and a hole
/// that is `out_of_round` wider in one direction than in the mean.
fn needed_allowance(sheet: &Sheet, out_of_round: f64) -> f64 {
    let ream = middle(sheet.finished) - sheet.finished[0];
    let start = START_TO_EXPANDED * 0.5 * sheet.start_band;
    // A step for the rounding of starting hole and mandrel.
    sheet.least_cut + ream + tool_spread(sheet) + start + out_of_round + sheet.step
}

fn allowance(sheet: &Sheet, out_of_round: f64) -> f64 {
    let usual = (ALLOWANCE * middle(sheet.finished)).clamp(ALLOWANCES[0], ALLOWANCES[1]);
    sheet.allowance.unwrap_or_else(|| usual.max(needed_allowance(sheet, out_of_round)))
}

/// Where the hole probably starts, mm, before anything is solved.
#[must_use]
pub fn guessed_start(sheet: &Sheet, expansion: f64) -> f64 {
    (middle(sheet.finished) - allowance(sheet, 0.0)) / (1.0 + KEPT * expansion)
}

/// The limits, from a hole that was expanded by the middle of the band: `pilot`.
///
/// # Errors
///
/// A [`Complaint`] when the tolerances use up more than the wanted band, or more than the ream
/// allowance.
pub fn derive(sheet: &Sheet, pilot: &Expanded) -> Result<Limits, Complaint> {
    let step = sheet.step;
    let scale = middle(sheet.finished) / pilot.mean;
    let out_of_round = scale * (pilot.largest - pilot.mean);
    let needed = needed_allowance(sheet, out_of_round);
    let allowance = allowance(sheet, out_of_round);
    if allowance < needed {
        let problem = format!(
            "a ream allowance of {} leaves less than the least cut of {} when the ream is small \
             and the tool large",
            sheet.show_length(allowance),
            sheet.show_length(sheet.least_cut)
        );
        let remedy = format!("give at least {}, or leave it out", sheet.show_length(needed + 5e-4));
        return Err(sheet.complaint("allowance", problem, remedy));
    }
    let start = (middle(sheet.finished) - allowance) / (1.0 + pilot.retained);
    let low = down(start - 0.5 * sheet.start_band + 0.5 * step, step);
    let start = [low, low + sheet.start_band];
    let wall = sheet.sleeve_thickness;
    let sleeve = [wall - sheet.sleeve_tolerance, wall + sheet.sleeve_tolerance];
    let [least, most] = mandrel_window(start, sleeve, sheet.expansion);
    let used = sheet.mandrel_band + sheet.mandrel_wear;
    // In the middle of what the band leaves over; a step lower or higher where that does not fit.
    let centred = down(0.5 * (least + most + used) + 0.5 * step, step);
    let slack = ON_STEP * step;
    let fits = |high: &f64| *high <= most + slack && *high - used >= least - slack;
    let Some(high) = [centred, centred - step, centred + step].into_iter().find(fits) else {
        return Err(too_wide(sheet, start, least - (most - used), most - least - used));
    };
    let mandrel = [high - sheet.mandrel_band, high];
    let worn = high - used;
    Ok(Limits { start, mandrel, worn, sleeve, finished: sheet.finished, allowance })
}

/// The complaint that the tolerances do not fit: they overrun the band by `over` mm, or leave
/// `room` mm in which no whole step lies.
fn too_wide(sheet: &Sheet, start: [f64; 2], over: f64, room: f64) -> Complaint {
    let [low, high] = sheet.expansion.map(|end| 100.0 * end);
    if over <= 0.0 {
        let problem = format!(
            "no mandrel that is a whole multiple of {} fits: the tolerances leave {}",
            sheet.show_length(sheet.step),
            sheet.show_length(room)
        );
        return sheet.complaint("mandrel_band", problem, "take a finer `round_to`".to_owned());
    }
    let share = |size: f64| 100.0 * size / start[0];
    let parts = [
        (sheet.start_band * (1.0 + sheet.expansion[0]), "starting hole `band`"),
        (4.0 * sheet.sleeve_tolerance, "`sleeve_tolerance`"),
        (sheet.mandrel_band, "`mandrel_band`"),
        (sheet.mandrel_wear, "`mandrel_wear`"),
    ];
    let said: Vec<String> =
        parts.iter().map(|(size, what)| format!("{what} {:.2} %", share(*size))).collect();
    let widest = parts.iter().max_by(|a, b| a.0.total_cmp(&b.0)).map_or("band", |part| part.1);
    let key = widest.rsplit('`').nth(1).unwrap_or("band");
    let problem = format!(
        "the tolerances move the applied expansion by more than the {low} to {high} % that is \
         wanted: {}",
        said.join(", ")
    );
    let remedy = format!(
        "take {} out of them, beginning with the {widest}, or widen the band",
        sheet.show_length(over + 5e-4)
    );
    sheet.complaint(key, problem, remedy)
}
