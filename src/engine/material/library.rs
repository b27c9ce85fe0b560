//! The alloys that a case file may name, each number with its source.
//!
//! The data stand in `alloys.toml` beside this file, which says what is measured, what is
//! constructed and what is assumed. A law for simulation reproduces the curve of a first pull;
//! the share of its hardening that is kinematic is an assumption ([`REVERSE_YIELD`]).

use std::fmt;
use std::sync::LazyLock;

use serde::Deserialize;

use crate::material::backstress::Backstress;
use crate::material::elasticity::Elasticity;
use crate::material::hardening::{Isotropic, Material, VoceTerm};
use crate::numeric::nearest::nearest;

/// Forward plastic strain at which [`REVERSE_YIELD`] is stated.
pub const REVERSE_YIELD_STRAIN: f64 = 0.04;

/// First departure from elastic unloading over the forward flow stress, after
/// [`REVERSE_YIELD_STRAIN`]: an assumption, not measured; common practice, no source.
///
/// No constants of the backstress at strains of this size were found for any of the
/// alloys. Without a Bauschinger effect the ratio would be 1, and the compression at the
/// hole edge overstated; figures of 0.3 to 0.6 are common for steels beyond 1 to 2 %
/// (from memory). The 0.2 % offset stress in reverse then comes out at 0.80 to 0.90.
pub const REVERSE_YIELD: f64 = 0.56;

/// Remark of a listing on the kinematic share of every alloy.
pub(crate) const BAUSCHINGER_NOTE: &str = "Bauschinger effect: assumption, not measured; common practice, \
     no source. After 4 % forward plastic strain, reverse yielding begins at 0.56 of the forward \
     flow stress, for every alloy alike";

/// A minimum strength of the handbook, for information only.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Minimum {
    /// Which strength, and the grain direction where it matters.
    pub property: String,
    /// `A`, `B` or `S`.
    pub basis: String,
    /// Strength, ksi as printed.
    pub ksi: f64,
}

/// The curve of a first pull that the law is fitted to:
/// `σ = offset_stress · (p / 0.002)^(1/exponent)`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Curve {
    /// Whether test points stand behind it; otherwise it is constructed.
    pub measured: bool,
    /// 0.2 % offset stress, MPa.
    pub offset_stress: f64,
    /// Exponent `n`.
    pub exponent: f64,
    /// Where it comes from.
    pub source: String,
}

impl Curve {
    /// True stress at plastic strain `p`, MPa.
    #[must_use]
    pub fn stress(&self, p: f64) -> f64 {
        self.offset_stress * (p / 0.002).powf(self.exponent.recip())
    }
}

/// An alloy.
#[derive(Clone, Debug, PartialEq)]
pub struct Alloy {
    /// Name in case files.
    pub name: String,
    /// Product form and size.
    pub form: String,
    /// Density, g/cm³.
    pub density: f64,
    /// Minimum strengths of the handbook, for information.
    pub minimum: Vec<Minimum>,
    /// The curve behind the law.
    pub curve: Curve,
    /// The law the simulation uses.
    pub material: Material,
    /// Sources of all of this, for reports: handbook, curve, assumption.
    pub sources: Vec<String>,
}

/// A name that is not in the library.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownAlloy {
    /// The name asked for.
    pub name: String,
    /// The name probably meant.
    pub nearest: Option<&'static str>,
}

impl fmt::Display for UnknownAlloy {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` is no alloy of the library", self.name.escape_debug())
    }
}

impl std::error::Error for UnknownAlloy {}

/// Every alloy, in the order of the library.
#[must_use]
pub fn alloys() -> &'static [Alloy] {
    static ALLOYS: LazyLock<Vec<Alloy>> = LazyLock::new(|| {
        let file: File = toml::from_str(include_str!("alloys.toml"))
            .expect("the embedded library is read by a test of every build");
        file.alloy.into_iter().map(Alloy::from).collect()
    });
    &ALLOYS
}

/// The alloy called `name`.
///
/// # Errors
///
/// [`UnknownAlloy`] with the name probably meant, when there is one.
pub fn find(name: &str) -> Result<&'static Alloy, UnknownAlloy> {
    alloys().iter().find(|alloy| alloy.name == name).ok_or_else(|| UnknownAlloy {
        name: name.to_owned(),
        nearest: nearest(name, alloys().iter().map(|alloy| alloy.name.as_str())),
    })
}

/// Names of all alloys in backticks, for messages.
#[must_use]
pub fn names_in_backticks() -> String {
    let names: Vec<String> = alloys().iter().map(|alloy| format!("`{}`", alloy.name)).collect();
    names.join(", ")
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    alloy: Vec<Entry>,
}

/// An alloy as it stands in the data file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Entry {
    name: String,
    form: String,
    density: f64,
    youngs_modulus: f64,
    poissons_ratio: f64,
    handbook: String,
    minimum: Vec<Minimum>,
    curve: Curve,
    yield_stress: f64,
    isotropic: Vec<VoceTerm>,
    slope: f64,
    kinematic: Vec<Backstress>,
}

impl From<Entry> for Alloy {
    fn from(entry: Entry) -> Self {
        let sources = vec![entry.handbook, entry.curve.source.clone(), BAUSCHINGER_NOTE.to_owned()];
        let material = Material {
            elasticity: Elasticity {
                youngs_modulus: entry.youngs_modulus,
                poissons_ratio: entry.poissons_ratio,
            },
            yield_stress: entry.yield_stress,
            isotropic: Isotropic::Voce { terms: entry.isotropic, slope: entry.slope },
            kinematic: entry.kinematic,
        };
        Self {
            name: entry.name,
            form: entry.form,
            density: entry.density,
            minimum: entry.minimum,
            curve: entry.curve,
            material,
            sources,
        }
    }
}
