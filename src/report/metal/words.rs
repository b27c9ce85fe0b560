//! The answer of the tests, in a table and in sentences.

use crate::case::metal_tests::MetalTests;
use crate::fit::certainty::Direction;
use crate::fit::groups::{Answer, Apart};
use crate::fit::metal::{Fitted, Value};
use crate::material::constant::Constant;
use crate::report::show::NOTHING;
use crate::units::Units;
use crate::units::quantity::Quantity;

/// A constant in the units of the file.
pub(super) fn at_border(constant: Constant, value: f64, units: Units) -> f64 {
    if constant.is_stress() { Quantity::Stress.at_border(value, units) } else { value }
}

/// A number with five digits that count.
pub(in crate::report) fn digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return NOTHING.to_owned();
    }
    let size = value.abs().log10().floor();
    // Between −300 and 300: the cast loses nothing.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let decimals = (4.0 - size).clamp(0.0, 8.0) as usize;
    format!("{value:.decimals$}")
}

/// Head and rows of the constants; a constant that the tests do not tell has no number.
#[must_use]
pub fn rows(fitted: &Fitted, units: Units) -> Vec<Vec<String>> {
    let head = ["constant", "unit", "value", "standard error", "90 % from", "to", ""];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    for (k, value) in fitted.values.iter().enumerate() {
        let constant = value.unknown.constant;
        let show = |number: f64| digits(at_border(constant, number, units));
        let [low, high] =
            value.interval.map_or([NOTHING.to_owned(), NOTHING.to_owned()], |ends| ends.map(show));
        let remark = remark(fitted, k, value);
        let number = if remark == NOT_TOLD { NOTHING.to_owned() } else { show(value.value) };
        rows.push(vec![
            constant.name(),
            if constant.is_stress() { units.stress_name() } else { "1" }.to_owned(),
            number,
            value.error.map_or(NOTHING.to_owned(), show),
            low,
            high,
            remark.to_owned(),
        ]);
    }
    rows
}

const NOT_TOLD: &str = "not told by the tests";

fn remark(fitted: &Fitted, k: usize, value: &Value) -> &'static str {
    if value.at_limit {
        "at its limit"
    } else if fitted.certainty.is_told(k) {
        ""
    } else {
        NOT_TOLD
    }
}

/// Everything to be said besides the numbers, a sentence each.
#[must_use]
pub fn sentences(tests: &MetalTests, answer: &Answer) -> Vec<String> {
    let fitted = &answer.all;
    let mut said = Vec::new();
    if let Some((_, misfit)) = &answer.kinematic_bound {
        said.push(format!(
            "No test flows back, so none tells how much of the hardening is kinematic. The constants are \
             those of the curve of a first pull alone; `material-isotropic.toml` and \
             `material-kinematic.toml` (the same curve to {:.1} %) are the two ends between which the \
             metal lies. A test that is unloaded and pushed until it yields again would tell",
            100.0 * misfit
        ));
    }
    said.extend(untold(fitted));
    for value in fitted.values.iter().filter(|value| value.at_limit) {
        said.push(format!(
            "`{}` ended at its limit: the tests want it beyond, or do without it",
            value.unknown.constant.name()
        ));
    }
    if !fitted.looks_like_scatter() {
        let least = (0..tests.records.len())
            .min_by(|a, b| fitted.runs[*a].total_cmp(&fitted.runs[*b]))
            .unwrap_or(0);
        said.push(format!(
            "The deviations run together, most of all in `{}`: the law does not follow the tests to within \
             their scatter, and the intervals are narrower than the truth. A further term may help",
            tests.records[least].label
        ));
    }
    if fitted.too_far == Some(true) {
        said.push(
            "The deviations are larger than the stated `stress_error`: the intervals are taken from the \
             deviations"
                .to_owned(),
        );
    }
    said.extend(answer.apart.as_ref().map(|apart| sets(tests, apart)));
    if fitted.starts[0] == 1 && fitted.starts[1] > 1 {
        said.push(
            "One start alone came to these constants; others ended higher. Give a `start` to look further"
                .to_owned(),
        );
    }
    if fell(&fitted.metal) {
        said.push(
            "The stresses of the table fall with strain, which no case file takes: give fewer \
             `plastic_strains`"
                .to_owned(),
        );
    }
    said
}

/// A sentence for each direction in the space of constants that the tests do not tell.
fn untold(fitted: &Fitted) -> Vec<String> {
    let name = |k: usize| format!("`{}`", fitted.values[k].unknown.constant.name());
    let sentence = |direction: &Direction| {
        let parts = direction.taking_part();
        let up: Vec<String> = parts.iter().filter(|p| p.1 > 0.0).map(|p| name(p.0)).collect();
        let down: Vec<String> = parts.iter().filter(|p| p.1 < 0.0).map(|p| name(p.0)).collect();
        let change = if parts.len() == 1 {
            format!("{} may be changed", up.join(", "))
        } else if down.is_empty() {
            format!("{} may be raised together", up.join(", "))
        } else {
            format!("{} may be raised while {} fall", up.join(", "), down.join(", "))
        };
        format!(
            "The tests do not tell {}: {change} by a factor of two and the stresses change by less than \
             their scatter; fix one of them, or take a term away",
            parts.iter().map(|p| name(p.0)).collect::<Vec<_>>().join(", ")
        )
    };
    fitted.certainty.untold.iter().map(sentence).collect()
}

/// Whether one set of constants serves the tests of small and of large strain.
fn sets(tests: &MetalTests, apart: &Apart) -> String {
    let named = |group: &Vec<usize>| {
        let labels: Vec<String> =
            group.iter().map(|k| format!("`{}`", tests.records[*k].label)).collect();
        labels.join(", ")
    };
    let [small, large] = [0, 1].map(|k| named(&apart.records[k]));
    let [one, two] = apart.roots.map(|root| format!("{root:.3}"));
    if apart.is_needed() {
        format!(
            "One set of constants cannot serve both {small} and {large}: apart, the root mean square \
             falls from {one} to {two}, by chance in {:.2} % of cases. `material-small.toml` and \
             `material-large.toml` are the sets; take the one whose strain is that of the question",
            100.0 * apart.chance
        )
    } else {
        format!("One set of constants serves both {small} and {large}")
    }
}

/// Whether a tabulated law falls.
fn fell(metal: &crate::material::hardening::Material) -> bool {
    let crate::material::hardening::Isotropic::Table { points, .. } = &metal.isotropic else {
        return false;
    };
    points.windows(2).any(|pair| pair[1][1] < pair[0][1])
}
