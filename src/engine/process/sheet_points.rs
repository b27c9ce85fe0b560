//! Nodes and integration points of a sheet, put into a state, taken out of it, or read alone.
//!
//! Points are numbered through the quadrilaterals, then the triangles; those of a sheet come after the others of
//! their kind.

use std::ops::Range;

use nalgebra::Vector4;

use crate::element::point_field::{QUAD_POINTS, TRIANGLE_POINTS};
use crate::material::state::PointFlow;
use crate::mesh::sheet::Part;
use crate::mesh::topology::NodeId;
use crate::solver::state::State;
use crate::solver::system::System;

/// Values of the points of one part, `each` a point, of a mesh with `quads` quadrilaterals.
pub(super) fn points<T: Clone>(values: &[T], each: usize, quads: usize, part: &Part) -> Vec<T> {
    if values.is_empty() {
        return Vec::new();
    }
    let (of_quads, of_triangles) = values.split_at(each * QUAD_POINTS * quads);
    let span = |range: &Range<usize>, points: usize| {
        each * points * range.start..each * points * range.end
    };
    let mut own = of_quads[span(&part.quads, QUAD_POINTS)].to_vec();
    own.extend_from_slice(&of_triangles[span(&part.triangles, TRIANGLE_POINTS)]);
    own
}

/// Values kept at integration points, `each` a point, of a mesh with `quads`
/// quadrilaterals, with those
/// of `part` put in as `new`, after all others of their kind.
pub(super) fn widen<T: Clone>(
    values: &[T],
    each: usize,
    quads: usize,
    part: &Part,
    new: T,
) -> Vec<T> {
    if values.is_empty() {
        return Vec::new();
    }
    let (of_quads, of_triangles) = values.split_at(each * QUAD_POINTS * quads);
    let more = |points: usize| vec![new.clone(); each * points];
    let mut all = of_quads.to_vec();
    all.extend(more(QUAD_POINTS * part.quads.len()));
    all.extend_from_slice(of_triangles);
    all.extend(more(TRIANGLE_POINTS * part.triangles.len()));
    all
}

/// Values kept at integration points without those of `part`.
pub(super) fn cut_out<T: Clone>(values: &[T], each: usize, quads: usize, part: &Part) -> Vec<T> {
    if values.is_empty() {
        return Vec::new();
    }
    let (of_quads, of_triangles) = values.split_at(each * QUAD_POINTS * quads);
    let without = |values: &[T], points: usize, gone: &Range<usize>| {
        let mut kept = values[..each * points * gone.start].to_vec();
        kept.extend_from_slice(&values[each * points * gone.end..]);
        kept
    };
    let mut all = without(of_quads, QUAD_POINTS, &part.quads);
    all.extend(without(of_triangles, TRIANGLE_POINTS, &part.triangles));
    all
}

/// A state with the nodes and points of `part` added, at rest.
pub(super) fn widened(state: &State, old: usize, part: &Part) -> State {
    let places = state.backstress.len() / state.points.len();
    let nodes = |values: &[[f64; 2]]| {
        let mut all = values.to_vec();
        all.resize(values.len() + part.nodes.len(), [0.0; 2]);
        all
    };
    State {
        displacement: nodes(&state.displacement),
        external: nodes(&state.external),
        points: widen(&state.points, 1, old, part, PointFlow::default()),
        backstress: widen(&state.backstress, places, old, part, Vector4::zeros()),
        stress: widen(&state.stress, 1, old, part, Vector4::zeros()),
        conjugate: widen(&state.conjugate, 1, old, part, Vector4::zeros()),
        ..state.clone()
    }
}

/// A state without the nodes and points of `part`.
pub(super) fn taken_off(state: &State, old: usize, part: &Part, places: usize) -> State {
    let nodes = |values: &[[f64; 2]]| {
        let kept =
            |(node, value): (NodeId, &[f64; 2])| (!part.nodes.contains(&node)).then_some(*value);
        values.iter().enumerate().filter_map(kept).collect()
    };
    State {
        displacement: nodes(&state.displacement),
        external: nodes(&state.external),
        points: cut_out(&state.points, 1, old, part),
        backstress: cut_out(&state.backstress, places, old, part),
        stress: cut_out(&state.stress, 1, old, part),
        conjugate: cut_out(&state.conjugate, 1, old, part),
        ..state.clone()
    }
}

/// Gives every point as many places for terms of the backstress as the metals of `system` need.
pub(super) fn repack(state: &mut State, system: &System) {
    let (had, needs) = (state.backstress.len() / state.points.len(), system.back_places());
    if had == needs {
        return;
    }
    let mut packed = vec![Vector4::zeros(); needs * state.points.len()];
    for point in 0..state.points.len() {
        let both = had.min(needs);
        packed[needs * point..needs * point + both]
            .copy_from_slice(&state.backstress[had * point..had * point + both]);
    }
    state.backstress = packed;
}
