//! Constants of growth and strain-life for the alloys of the library, each with its source.
//!
//! The data stand in `constants.toml` beside this file. A result carries the [`Origin`] of the
//! constants it used, so that "from memory" and "another product" are never lost on the way.
//! An alloy without constants is an error that says so.

use std::fmt;
use std::sync::LazyLock;

use serde::{Deserialize, Serialize};

use crate::fatigue::growth::GrowthLaw;
use crate::fatigue::origin::{Origin, Reliability};
use crate::fatigue::strain_life::{StrainLife, StrainLifeModel};

/// A growth law with its origin.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GrowthModel {
    /// The law.
    pub law: GrowthLaw,
    /// Where its constants come from.
    pub origin: Origin,
}

/// Kind of constants asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Crack growth.
    Growth,
    /// Strain-life.
    StrainLife,
}

/// An alloy or product without constants of a kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoConstants {
    /// The name asked for.
    pub name: String,
    /// Kind of constants asked for.
    pub kind: Kind,
}

impl fmt::Display for NoConstants {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let kind = match self.kind {
            Kind::Growth => "crack growth",
            Kind::StrainLife => "strain-life",
        };
        write!(f, "no {kind} constants were found for `{}`", self.name.escape_debug())
    }
}

impl std::error::Error for NoConstants {}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    growth: Vec<GrowthEntry>,
    strain_life: Vec<StrainEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct GrowthEntry {
    product: String,
    alloys: Vec<String>,
    #[serde(default)]
    stand_in: Vec<String>,
    reliability: Reliability,
    source: String,
    law: GrowthLaw,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct StrainEntry {
    product: String,
    alloys: Vec<String>,
    #[serde(default)]
    stand_in: Vec<String>,
    reliability: Reliability,
    source: String,
    constants: StrainLife,
}

fn file() -> &'static File {
    static FILE: LazyLock<File> = LazyLock::new(|| {
        toml::from_str(include_str!("constants.toml"))
            .expect("the embedded constants are read by a test of every build")
    });
    &FILE
}

/// Growth laws for a library alloy, or for a product by its own name: those of the product
/// itself first, in the order of the file, then stand-ins.
///
/// # Errors
/// [`NoConstants`].
pub fn growth(name: &str) -> Result<Vec<GrowthModel>, NoConstants> {
    let entries = file().growth.iter().map(|entry| {
        (entry.product.as_str(), &entry.alloys, &entry.stand_in, entry.reliability, &entry.source)
    });
    let found: Vec<_> = matching(name, entries)
        .map(|(k, origin)| GrowthModel { law: file().growth[k].law, origin })
        .collect();
    if found.is_empty() { Err(none(name, Kind::Growth)) } else { Ok(found) }
}

/// Strain-life constants for a library alloy, or for a product by its own name; order as in
/// [`growth`].
///
/// # Errors
/// [`NoConstants`].
pub fn strain_life(name: &str) -> Result<Vec<StrainLifeModel>, NoConstants> {
    let entries = file().strain_life.iter().map(|entry| {
        (entry.product.as_str(), &entry.alloys, &entry.stand_in, entry.reliability, &entry.source)
    });
    let found: Vec<_> = matching(name, entries)
        .map(|(k, origin)| StrainLifeModel { constants: file().strain_life[k].constants, origin })
        .collect();
    if found.is_empty() { Err(none(name, Kind::StrainLife)) } else { Ok(found) }
}

fn none(name: &str, kind: Kind) -> NoConstants {
    NoConstants { name: name.to_owned(), kind }
}

type Row<'a> = (&'a str, &'a Vec<String>, &'a Vec<String>, Reliability, &'a String);

/// Numbers of the entries that answer to `name`, with the origin to carry, own ones first.
fn matching<'a>(
    name: &'a str,
    entries: impl Iterator<Item = Row<'a>>,
) -> impl Iterator<Item = (usize, Origin)> {
    let mut found: Vec<(usize, Origin)> = entries
        .enumerate()
        .filter_map(|(k, (product, alloys, stand_ins, reliability, source))| {
            let own = product == name || alloys.iter().any(|alloy| alloy == name);
            let stand_in = !own && stand_ins.iter().any(|alloy| alloy == name);
            (own || stand_in).then(|| {
                let (product, source) = (product.to_owned(), source.clone());
                (k, Origin { product, source, reliability, stand_in })
            })
        })
        .collect();
    found.sort_by_key(|(_, origin)| origin.stand_in); // stable: the file's order stays
    found.into_iter()
}
