//! Basis of a life, settled before anything is solved: load, law, limits.

use crate::case::Case;
use crate::case::life_table::{LifeSettings, LoadCourse};
use crate::fatigue::assessment::Ground;
use crate::fatigue::constants::{GrowthModel, growth, strain_life};
use crate::fatigue::cycle::{StressCycle, StressRatio};
use crate::fatigue::end::Limits;
use crate::fatigue::growth::{GrowthLaw, ROOT_METRE};
use crate::fatigue::origin::Origin;
use crate::fatigue::rainflow::count_repeating;
use crate::fatigue::sequence::{Block, LoadSequence};
use crate::fatigue::spectrum;
use crate::process::plan::mesh_plan;
use crate::process::stage::Stage;
use crate::study::lives::refusal::{LARGEST_SHARE, LifeRefusal};
use crate::study::section_beside::HoleSection;

/// Cycles after which a life counts as endless for every purpose.
pub(super) const MOST_CYCLES: f64 = 1e9;

/// Plastic strain of the yield stress that the net section is held against.
const OFFSET: f64 = 0.002;

/// All that is known before a solution.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Data common to every crack.
    pub ground: Ground,
    /// The load in words.
    pub load_words: String,
    /// Where the toughness comes from.
    pub toughness_words: String,
    /// The sections of the holes, once they are computed: the residual field of part-through cracks.
    pub sections: Vec<HoleSection>,
}

/// Settles what the lives of `case` stand on.
///
/// # Errors
/// [`LifeRefusal`] of the kinds that blame the input.
pub fn plan(case: &Case) -> Result<Plan, LifeRefusal> {
    let Some(settings) = &case.life else { return Err(LifeRefusal::NoTable) };
    mirrored(case, settings)?;
    let extent = case.job.plate.outline.extent();
    if settings.initial_flaw >= extent {
        let (line, flaw) = (settings.line, settings.initial_flaw);
        return Err(LifeRefusal::FlawBeyondPlate { line, flaw, extent });
    }
    let (sequence, course) = sequence(settings)?;
    let model = model(case, settings)?;
    let (toughness, toughness_words) = match (settings.toughness, model.law.apparent_toughness()) {
        (Some(given), _) => (given * ROOT_METRE, "given".to_owned()),
        (None, Some(apparent)) => {
            (apparent, "apparent toughness of the growth law, a fit and no property".to_owned())
        }
        (None, None) => return Err(LifeRefusal::NoToughness { line: settings.line }),
    };
    let yield_stress = settings.net_section.then(|| case.job.material.monotonic_stress(OFFSET));
    Ok(Plan {
        ground: Ground {
            sequence,
            limits: Limits { toughness, yield_stress, most_cycles: MOST_CYCLES },
            contact: model.law.contact_rule(),
            model,
            initial: settings.initial_flaw,
            detectable: settings.detectable,
            factor: settings.factor,
            strain_life: strain_life(alloy_name(case)).ok().and_then(|all| all.into_iter().next()),
        },
        load_words: course,
        toughness_words,
        sections: Vec::new(),
    })
}

/// The alloy of the library behind the metal; a metal with other elastic-plastic numbers keeps its
/// growth constants.
pub(super) fn alloy_name(case: &Case) -> &str {
    case.material_name.strip_suffix(", changed").unwrap_or(&case.material_name)
}

/// A half or quarter answers for the whole only under a load that mirrors like it.
fn mirrored(case: &Case, settings: &LifeSettings) -> Result<(), LifeRefusal> {
    if case.imported.is_some() {
        return Ok(());
    }
    let mut loaded = case.job.clone();
    loaded.stages.push(Stage::Load { load: settings.load.clone(), cycles: 1 });
    if mesh_plan(&loaded).symmetry == mesh_plan(&case.job).symmetry {
        Ok(())
    } else {
        Err(LifeRefusal::NotMirrored)
    }
}

fn sequence(settings: &LifeSettings) -> Result<(LoadSequence, String), LifeRefusal> {
    let tension = settings.tension;
    let made = match &settings.course {
        LoadCourse::Ratio(ratio) => {
            LoadSequence::constant(StressCycle::with_ratio(tension, StressRatio(*ratio)))
                .map(|sequence| (sequence, format!("constant amplitude, load ratio {ratio}")))
        }
        LoadCourse::Blocks(blocks) => {
            let list = blocks
                .iter()
                .map(|[highest, lowest, cycles]| Block {
                    cycle: StressCycle::between(highest * tension, lowest * tension),
                    count: *cycles,
                })
                .collect();
            LoadSequence::new(list).map(|made| (made, format!("{} blocks, repeated", blocks.len())))
        }
        LoadCourse::Spectrum { file, text } => {
            let line = settings.line;
            let points = spectrum::parse(text).map_err(|error| LifeRefusal::Spectrum {
                line,
                file: file.clone(),
                error,
            })?;
            if let Some(at) = points.iter().position(|share| share.abs() > LARGEST_SHARE) {
                let (file, share) = (file.clone(), points[at]);
                return Err(LifeRefusal::LargeShare { line, file, at: at + 1, share });
            }
            let cycles = count_repeating(&points);
            let words = format!(
                "spectrum `{file}`, {} cycles a pass by rainflow counting, repeated",
                cycles.len()
            );
            LoadSequence::counted(&cycles, tension).map(|sequence| (sequence, words))
        }
    };
    made.map_err(LifeRefusal::Sequence)
}

/// The growth law: the one whose constants are given, else the alloy's.
fn model(case: &Case, settings: &LifeSettings) -> Result<GrowthModel, LifeRefusal> {
    if let (Some(own), Some(law)) = (settings.constants, settings.law.as_deref()) {
        let (coefficient, exponent, threshold) = (own.coefficient, own.exponent, own.threshold);
        let gamma = own.gamma.unwrap_or(1.0);
        let toughness = own.toughness.unwrap_or(f64::NAN);
        let law = match law {
            "walker" => GrowthLaw::Walker { coefficient, exponent, gamma, threshold },
            "forman" => GrowthLaw::Forman { coefficient, exponent, toughness, threshold },
            _ => GrowthLaw::Paris { coefficient, exponent, threshold },
        };
        return Ok(GrowthModel {
            law,
            origin: Origin::given(&case.material_name, "the case file"),
        });
    }
    let line = settings.line;
    let known =
        growth(alloy_name(case)).map_err(|error| LifeRefusal::NoConstants { line, error })?;
    let Some(wanted) = &settings.law else {
        // A library entry without a law does not exist: `growth` refuses an empty list.
        return known.into_iter().next().ok_or_else(|| LifeRefusal::NoSuchLaw {
            line,
            law: String::new(),
            known: vec![],
        });
    };
    let names: Vec<&'static str> = known.iter().map(|model| model.law.name()).collect();
    known
        .into_iter()
        .find(|model| model.law.name() == wanted)
        .ok_or_else(|| LifeRefusal::NoSuchLaw { line, law: wanted.clone(), known: names })
}
