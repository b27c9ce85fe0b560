//! A case of a study, made of the base case and one value of every axis.

use std::collections::BTreeMap;
use std::path::Path;

use crate::case::complaint::Complaint;
use crate::case::study::axes::{HARDENING, HARDENINGS, Level, Target};
use crate::case::study::definition::Study;
use crate::case::table::Scalar;
use crate::case::{Case, parse};
use crate::material::bracket::{purely_isotropic, purely_kinematic};

/// Numbers by name: numeric axes, then values.
pub type Variables = BTreeMap<String, f64>;

/// A case before it is read.
#[derive(Clone, Debug, PartialEq)]
pub enum Made {
    /// It is solved.
    Wanted(Variables),
    /// It is left out, because this condition holds.
    Skipped(Variables, String),
}

/// Why there is no case for some values of the axes.
#[derive(Debug)]
#[non_exhaustive]
pub enum Unmade {
    /// A value that is no finite number.
    NotFinite {
        /// The name of the value, or the key.
        name: String,
    },
    /// A key that the base case has no place for.
    NoPlace(String),
    /// The case is not one that can be solved.
    Complaint(Box<Complaint>),
}

impl std::fmt::Display for Unmade {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NotFinite { name } => write!(f, "`{name}` is no finite number"),
            Self::NoPlace(what) => f.write_str(what),
            Self::Complaint(complaint) => complaint.fmt(f),
        }
    }
}

impl std::error::Error for Unmade {}

impl Study {
    /// Values of all expressions for one value of every axis, and whether the case is wanted.
    ///
    /// # Errors
    ///
    /// [`Unmade::NotFinite`].
    pub fn make(&self, levels: &[Level]) -> Result<Made, Unmade> {
        let variables = self.variables(levels)?;
        for skip in &self.skips {
            match skip.holds(|name| variables.get(name).copied()) {
                Some(true) => return Ok(Made::Skipped(variables, skip.text().to_owned())),
                Some(false) => {}
                None => return Err(Unmade::NotFinite { name: skip.text().to_owned() }),
            }
        }
        Ok(Made::Wanted(variables))
    }

    /// Numeric axes and values by name.
    fn variables(&self, levels: &[Level]) -> Result<Variables, Unmade> {
        let mut variables: Variables = self
            .axes
            .iter()
            .zip(levels)
            .filter_map(|(axis, level)| Some((axis.name.clone(), level.number()?)))
            .collect();
        for value in &self.values {
            let number = value.expression.value(|name| variables.get(name).copied());
            let finite = number.filter(|number| number.is_finite());
            let number = finite.ok_or_else(|| Unmade::NotFinite { name: value.name.clone() })?;
            variables.insert(value.name.clone(), number);
        }
        Ok(variables)
    }

    /// The case for one value of every axis, read and checked.
    ///
    /// # Errors
    ///
    /// [`Unmade`].
    pub fn case(&self, levels: &[Level], variables: &Variables) -> Result<Case, Unmade> {
        let mut document = self.base.document.clone();
        let mut hardening = HARDENINGS[0].to_owned();
        let mut set = |target: &Target, to: &Scalar| match (target, to) {
            (Target::Key(key), to) => key.set(&mut document, to).map_err(Unmade::NoPlace),
            (Target::Hardening, Scalar::Text(word)) => {
                hardening.clone_from(word);
                Ok(())
            }
            (Target::Hardening, _) => Err(Unmade::NoPlace(format!("`{HARDENING}` takes a word"))),
        };
        for (axis, level) in self.axes.iter().zip(levels) {
            match (&axis.target, level) {
                (Some(target), Level::One(value)) => set(target, value)?,
                (_, Level::Variant { set: settings, .. }) => {
                    settings.iter().try_for_each(|one| set(&one.target, &one.to))?;
                }
                (None, Level::One(_)) => {}
            }
        }
        for tie in &self.ties {
            let number = tie.to.value(|name| variables.get(name).copied());
            let number = number
                .filter(|number| number.is_finite())
                .ok_or_else(|| Unmade::NotFinite { name: tie.key.text().to_owned() })?;
            tie.key.set(&mut document, &Scalar::Number(number)).map_err(Unmade::NoPlace)?;
        }
        let mut case = parse(&document.to_string(), &self.base.file).map_err(|mut complaint| {
            // The reason stands in the table, which must not tell where the study lay.
            if let Some(name) = Path::new(&complaint.file).file_name() {
                complaint.file = name.to_string_lossy().into_owned();
            }
            Unmade::Complaint(Box::new(complaint))
        })?;
        case.job.material = match hardening.as_str() {
            "isotropic" => purely_isotropic(&case.job.material),
            "kinematic" => purely_kinematic(&case.job.material).0,
            _ => case.job.material,
        };
        Ok(case)
    }
}
