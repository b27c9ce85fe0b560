//! A crack that may be drawn, and the life of its front: sizes against cycles, and the end.

use crate::fatigue::front::parts::FieldShare;
use serde::Serialize;

/// Quantities of a life that may differ from part to part.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Draw {
    /// First size `[a, c]`, mm.
    pub flaw: [f64; 2],
    /// How much of the residual field is there.
    pub field: FieldShare,
    /// Factor on every growth.
    pub growth: f64,
}

impl Draw {
    /// The same crack at a hole without residual stress.
    #[must_use]
    pub fn plain(&self) -> Self {
        Self { field: FieldShare { whole: 0.0, ..self.field }, ..*self }
    }
}

/// A size of the crack after so many cycles.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FrontPoint {
    /// Cycles so far.
    pub cycles: f64,
    /// Along the bore, mm; the thickness when through.
    pub a: f64,
    /// Along the face, mm.
    pub c: f64,
}

/// How the life of a corner crack ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FrontEnd {
    /// Neither tip grows.
    Arrest,
    /// The maximum reaches the toughness at a tip.
    Fracture,
    /// The mean stress of the net section reaches yield.
    NetSectionYield,
    /// The crack is as near to an edge as the correction holds.
    EdgeReached,
    /// The cycles were used up.
    CyclesReached,
}

/// Life of a corner crack.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FrontLife {
    /// How it ends.
    pub end: FrontEnd,
    /// Sizes against cycles, from the flaw to the end.
    pub points: Vec<FrontPoint>,
    /// Number of the point at which the crack is through.
    pub through_at: Option<usize>,
}

impl FrontLife {
    /// Cycles the part bears; infinite when the crack arrests or the cycles were used up.
    #[must_use]
    pub fn cycles_borne(&self) -> f64 {
        match self.end {
            FrontEnd::Arrest | FrontEnd::CyclesReached => f64::INFINITY,
            _ => self.points.last().map_or(0.0, |last| last.cycles),
        }
    }

    /// The last size.
    #[must_use]
    pub fn last(&self) -> Option<&FrontPoint> {
        self.points.last()
    }
}
