//! Which part of a draw is followed closely: where an edge of the mandrel passes a face of the part.
//!
//! ```text
//!    trail   land    lead        edges: first touch of the lead taper, lead fillet, trail fillet
//!        .-'------'-.            each passes the entry face, and a thickness later the exit face
//!    .-'             '-.
//! ```
//!
//! In between, the mandrel's shape moves along a bore that looks alike before and behind: increments may be longer
//! there. The rule is one of geometry alone.

use crate::process::section::DrawTool;

/// Way before and after such a passage that is followed closely, over the thickness. With twice as much nothing is left to
/// go faster in a plate as thick as its hole is wide.
const NEAR: f64 = 0.15;

/// Length of an increment elsewhere over that of a close one. Measured in `docs/section.md`.
pub(super) const ELSEWHERE: f64 = 2.0;

/// Shares of the `way`, mm, of a mandrel whose lead taper reaches so far, `lead` mm, in a part of this thickness; none, which is
/// all of it, under a sleeve of elements, whose ends have faces of their own.
pub(super) fn followed_closely(
    tool: &DrawTool,
    (lead, thickness): (f64, f64),
    way: f64,
) -> Vec<[f64; 2]> {
    if tool.sleeve.is_some() {
        return Vec::new();
    }
    let edges = [0.0, lead, lead + tool.profile.land];
    let mut passages: Vec<f64> =
        edges.into_iter().flat_map(|edge| [edge, edge + thickness]).collect();
    passages.sort_by(f64::total_cmp);
    let near = NEAR * thickness;
    passages.into_iter().map(|at| [(at - near).max(0.0) / way, (at + near) / way]).collect()
}
