//! Where constants come from, and how far they are from their source.
//!
//! Every result carries the origin of the constants it used.

use std::fmt;

use serde::{Deserialize, Serialize};

/// How far a number is from its source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Reliability {
    /// Read in somebody else's copy of the named source.
    #[serde(rename = "transcription")]
    Transcription,
    /// Somebody's fit to the named test data.
    #[serde(rename = "third-party fit")]
    ThirdPartyFit,
    /// Recalled, not seen.
    #[serde(rename = "from memory")]
    FromMemory,
    /// Given by the caller.
    #[serde(rename = "given")]
    Given,
}

impl fmt::Display for Reliability {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Transcription => "read in a transcription",
            Self::ThirdPartyFit => "third-party fit",
            Self::FromMemory => "from memory",
            Self::Given => "given",
        })
    }
}

/// Where constants come from; part of every result that used them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Origin {
    /// Product they were measured on.
    pub product: String,
    /// Named source.
    pub source: String,
    /// How far from it.
    pub reliability: Reliability,
    /// Whether they were measured on another product than the alloy asked for.
    pub stand_in: bool,
}

impl Origin {
    /// Of constants the caller gives, in the caller's words.
    #[must_use]
    pub fn given(product: &str, source: &str) -> Self {
        Self {
            product: product.to_owned(),
            source: source.to_owned(),
            reliability: Reliability::Given,
            stand_in: false,
        }
    }

    /// Whether the constants were recalled, not seen.
    #[must_use]
    pub fn from_memory(&self) -> bool {
        self.reliability == Reliability::FromMemory
    }
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {} ({})", self.product, self.source, self.reliability)?;
        if self.stand_in {
            f.write_str("; another product than the alloy")?;
        }
        Ok(())
    }
}
