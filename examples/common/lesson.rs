//! What the lessons share: a run that is followed, its figures, and the check at the end.
#![allow(dead_code, clippy::print_stdout, reason = "each lesson takes what it needs")]

use std::error::Error;
use std::path::{Path, PathBuf};

use hoopset::numeric::root::bracketed_newton;
use hoopset::plot::{
    Component, Curve, FigureContext, deviatoric_path, edge_loop, plastic_growth, pressure_history,
    stress_steps,
};
use hoopset::process::trace::{Trace, Watched};
use hoopset::result::path::StressPath;
use hoopset::result::stage::StageResult;
use hoopset::result::summary::{PathSummary, StageSummary};
use hoopset::theory::plastic_sheet::{LoadedSheet, PlasticSheet};
use hoopset::{Case, parse, read};

/// Anything that can go wrong in a lesson.
pub(crate) type Outcome<T> = Result<T, Box<dyn Error>>;

/// A case that was run and followed.
pub(crate) struct Lesson {
    pub(crate) case: Case,
    pub(crate) trace: Trace,
    /// Every snapshot, read.
    pub(crate) stages: Vec<(StageResult, StageSummary)>,
}

impl Lesson {
    /// Runs the text of a case file and follows the edge of its first hole at 0°.
    pub(crate) fn run(text: &str, name: &str) -> Outcome<Self> {
        Self::follow(parse(text, name)?, Watched { hole: 0, angle: 0.0, depth: 0.0 })
    }

    /// Runs a case and follows a place of the metal.
    pub(crate) fn follow(case: Case, watched: Watched) -> Outcome<Self> {
        let mut trace = Trace::new(&case.job, watched, 2);
        case.sequence(case.job.clone())?.run(&mut trace).map_err(|failure| failure.error)?;
        let stages = trace
            .snapshots
            .iter()
            .map(|snapshot| read(snapshot, &case.job, &case.path_angles))
            .collect::<Result<_, _>>()?;
        Ok(Self { case, trace, stages })
    }

    /// The stage with this label, e.g. `1-expand-A-full`.
    pub(crate) fn stage(&self, label: &str) -> &(StageResult, StageSummary) {
        let found = self.stages.iter().find(|(stage, _)| stage.label == label);
        found.unwrap_or_else(|| panic!("the case has no stage `{label}`"))
    }

    /// The path of a hole at an angle, and its summary.
    pub(crate) fn path(&self, label: &str, hole: &str, angle: f64) -> (&StressPath, &PathSummary) {
        let (stage, summary) = self.stage(label);
        let near = |degrees: f64| (degrees - angle).abs() < 1e-6;
        let path = stage.paths.iter().find(|path| path.hole == hole && near(path.angle_deg));
        let read = summary.paths.iter().find(|path| path.hole == hole && near(path.angle_deg));
        path.zip(read).unwrap_or_else(|| panic!("no path of `{hole}` at {angle}°"))
    }

    /// Heads of the figures.
    pub(crate) fn context(&self) -> FigureContext<'_> {
        FigureContext { case_title: &self.case.title, units: self.case.units }
    }

    /// The same run in small increments, so that curves between them are smooth and true.
    pub(crate) fn fine(&self) -> Outcome<Trace> {
        let mut job = self.case.job.clone();
        job.numerics.increments = job.numerics.increments.max(FINE);
        let mut trace = Trace::new(&job, self.trace.watched(), job.numerics.increments / 8);
        self.case.sequence(job)?.run(&mut trace).map_err(|failure| failure.error)?;
        Ok(trace)
    }

    /// Draws what every lesson shows into `folder`: pressure against expansion, stress profiles
    /// through the steps with `theory` over them, loop and deviatoric path of the watched point,
    /// and the page of the plastic zone. Profiles reach that many mm, the page that many hole
    /// diameters to each side.
    pub(crate) fn draw(
        &self,
        theory: &[Curve],
        [reach, page]: [f64; 2],
        folder: &Path,
    ) -> Outcome<()> {
        std::fs::create_dir_all(folder)?;
        let context = self.context();
        let trace = self.fine()?;
        for (stage, _) in &self.stages {
            let label = stage.label.trim_end_matches("-full");
            if label != stage.label && stage.contact.is_some() {
                pressure_history(&trace.history, label, context, folder)?;
            }
        }
        let hoop = (Component::Hoop, reach);
        stress_steps(&trace, &self.case.job, hoop, theory, context, folder)?;
        edge_loop(&trace, context, folder)?;
        deviatoric_path(&trace, context, folder)?;
        let page = plastic_growth(&trace, &self.case.job, page, context, folder)?;
        println!("drew figures and {}", page.display());
        Ok(())
    }
}

/// Increments of a run that is drawn, at least.
const FINE: usize = 64;

/// The folder named on the command line: figures are drawn only when there is one.
pub(crate) fn folder() -> Option<PathBuf> {
    std::env::args_os().nth(1).map(PathBuf::from)
}

/// Fails when `found` is further from `expected` than the share `tolerance` of it.
pub(crate) fn near(what: &str, found: f64, expected: f64, tolerance: f64) {
    let error = (found - expected).abs() / expected.abs();
    assert!(error <= tolerance, "{what}: {found} against {expected}, {:.2} % off", 100.0 * error);
}

/// Nádai's sheet of the first hole's size, under the pressure that moves its bore out by
/// `displacement` mm.
pub(crate) fn sheet_driven_out(case: &Case, displacement: f64) -> Outcome<LoadedSheet> {
    let (plate, metal) = (&case.job.plate, &case.job.material);
    let (inner, outer) = (plate.holes[0].radius(), 0.5 * plate.outline.extent());
    let sheet = PlasticSheet::new(inner, outer, metal.yield_stress, metal.elasticity)?;
    let bore = |pressure: f64| sheet.at_pressure(pressure)?.displacement(inner);
    let most = sheet.largest_pressure() * (1.0 - 1e-9);
    // The slope of an elastic sheet; the search narrows its bracket where it is not.
    let slope = -inner * (1.0 + metal.elasticity.poissons_ratio) / metal.elasticity.youngs_modulus;
    let pressure = bracketed_newton(0.0, most, 1e-9, |pressure| {
        (bore(pressure).map_or(f64::NAN, |moved| displacement - moved), slope)
    });
    Ok(sheet.at_pressure(pressure.ok_or("no sheet carries this expansion")?)?)
}
