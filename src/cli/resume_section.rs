//! Stages of a section on disk: written as they are finished, used again when the same work was done before.
//!
//! Filed like the snapshots of a plate ([`crate::cli::resume`]): under a fingerprint of the program, the ring, the metal, the
//! numerics, the mesh that all stages together ask for, and the stages up to its own.

use std::path::PathBuf;

use sha2::{Digest, Sha256};

use crate::cli::exit::CliError;
use crate::cli::resume::{HEAD, file_name, first_whole, places, program, seal, whole_stages};
use crate::process::section::record::SectionSnapshot;
use crate::process::section::run::section_plan;
use crate::process::section::{SectionJob, SectionStage};
use crate::report::folder::ResultsFolder;

/// The stages of one section in a results folder.
pub(crate) struct SectionStages<'a> {
    folder: &'a ResultsFolder,
    /// Folder of the section inside the results, with its slash; none for a section alone.
    inside: String,
    /// Results folders of earlier work, besides that of this one.
    others: Vec<PathBuf>,
    /// Labels of the snapshots of every stage, the last of which ends it, and their fingerprint.
    stages: Vec<(Vec<String>, [u8; HEAD])>,
    /// Whether nothing is taken from earlier work.
    fresh: bool,
}

impl<'a> SectionStages<'a> {
    /// Those of `job` in `folder`.
    pub(crate) fn new(folder: &'a ResultsFolder, job: &SectionJob, fresh: bool) -> Self {
        let mut base = Sha256::new();
        base.update(program());
        let plan = section_plan(job);
        base.update(format!(
            "section|{:?}|{:?}|{:?}|{:?}|{plan:?}",
            job.hole, job.part, job.material, job.numerics
        ));
        let fingerprint = |(index, stage): (usize, &SectionStage)| {
            base.update(format!("|{stage:?}"));
            let label = job.label(index);
            let labels = match stage {
                SectionStage::Grow { .. } => vec![format!("{label}-full"), label],
                _ => vec![label],
            };
            (labels, base.clone().finalize().into())
        };
        let stages = job.stages.iter().enumerate().map(fingerprint).collect();
        Self { folder, inside: String::new(), others: Vec::new(), stages, fresh }
    }

    /// Those of the section of `hole`, beside others in one folder; `other` is a results folder that may have them too.
    pub(crate) fn of_hole(self, hole: &str, other: PathBuf) -> Self {
        Self { inside: format!("{hole}/"), others: vec![other], ..self }
    }

    /// Those of the first stages that earlier work has left, in order; always whole stages.
    pub(crate) fn stored(&self) -> Vec<SectionSnapshot> {
        if self.fresh {
            return Vec::new();
        }
        let places = [places(self.folder), self.others.clone()].concat();
        let stages = self.stages.iter().map(|(labels, head)| (labels.clone(), head));
        whole_stages(stages, |label, head| first_whole(&places, &self.name(label), head))
    }

    /// Writes one into the results.
    pub(crate) fn store(&self, snapshot: &SectionSnapshot) -> Result<(), CliError> {
        let (_, head) = &self.stages[snapshot.stage - 1];
        self.folder.write(&self.name(&snapshot.label), &seal(head, snapshot)?)?;
        Ok(())
    }

    fn name(&self, label: &str) -> String {
        format!("{}{}", self.inside, file_name(label))
    }
}
