//! A pin with a force on it and nothing in its way: it goes along until it touches.
//!
//! A pin with play, a neat one that nothing presses yet, and a force that turns round all leave a
//! moment at which no edge node ahead of the pin is in contact. No stiffness resists it then, and
//! no correction would move it. Its way to the edge is geometry alone: along the force until the
//! first node lies on its circle.
//!
//! Nodes that the force may be expected to bring into contact are closed at once, so that the
//! first correction does not press the whole force into one node. Those that pull open again.

use crate::mesh::topology::NodeId;
use crate::solver::contact::{ContactStatus, ToolContact, ToolState};
use crate::solver::state::State;
use crate::solver::surface::Surface;
use crate::solver::switching::GAP_TOLERANCE;
use crate::solver::system::System;

/// Cosine of the largest angle between the force and a node that stands against it: a neat pin
/// touches nearly half of the edge.
const AHEAD: f64 = 0.1;

impl System {
    /// Moves every pin that has a bearing force and no contact ahead along the force until it
    /// touches. Returns the nodes whose status changed: those behind that it leaves, those ahead
    /// that it touches or is expected to.
    pub(crate) fn seat(&self, trial: &mut State) -> Vec<NodeId> {
        let mut changed = Vec::new();
        for (index, contact) in self.tools.iter().enumerate() {
            let tool = &trial.tools[index];
            let pushed = [0, 1].map(|i| if contact.free[i] { tool.bearing[i] } else { 0.0 });
            let force = pushed[0].hypot(pushed[1]);
            if force == 0.0 || (self.hangs(index) && self.moves(trial, self.body(index))[1]) {
                continue;
            }
            let along = pushed.map(|part| part / force);
            let places = self.places(trial, contact, tool, along);
            let resists = |(place, status): (&Place, &ContactStatus)| {
                status.touches() && place.stands_against(0.0)
            };
            if places.iter().zip(&tool.status).any(resists) {
                continue;
            }
            let radius = |k: usize| tool.radius + contact.fitted(k);
            let ways = places.iter().enumerate().filter_map(|(k, place)| place.way(radius(k)));
            let Some(way) = ways.reduce(f64::min) else { continue };
            // Of the order of what the force gives the edge: force over modulus and thickness.
            let copies = self.mesh.symmetry.copies() as f64;
            let young = self.metal.material.elasticity.youngs_modulus;
            let give = copies * force / (young * self.metal.thickness);
            let reach = give.max(GAP_TOLERANCE * self.scale.length);
            if self.hangs(index) {
                trial.tools[self.body(index)].centre[1] += way * along[1];
            }
            let tool = &mut trial.tools[index];
            for (part, direction) in tool.centre.iter_mut().zip(along) {
                *part += way * direction;
            }
            for (k, place) in places.iter().enumerate() {
                let near = place.distance(way) - tool.radius - contact.fitted(k) <= reach;
                let touches = near && place.stands_against(way);
                let status = if touches { ContactStatus::SMOOTH } else { ContactStatus::Open };
                if tool.status[k].touches() != touches {
                    tool.status[k] = status;
                    changed.push(contact.nodes[k]);
                }
            }
        }
        changed
    }

    /// The contact nodes that a tool only pushes, as it sees them along a unit vector.
    fn places(
        &self,
        trial: &State,
        contact: &ToolContact,
        tool: &ToolState,
        along: [f64; 2],
    ) -> Vec<Place> {
        let place = |(k, &node): (usize, &NodeId)| {
            if let Surface::Flat { normal } = contact.surface {
                // All of a flat face is straight ahead, where its force points along its normal.
                let stance =
                    contact.stance(tool, k, self.mesh.nodes[node], trial.displacement[node]);
                let slope = along[0] * normal[0] + along[1] * normal[1];
                return Place { ahead: stance.gap / slope + tool.radius, aside: 0.0 };
            }
            let at = [0, 1].map(|i| {
                self.mesh.nodes[node][i] + trial.displacement[node][i]
                    - contact.reference[i]
                    - tool.centre[i]
            });
            Place {
                ahead: at[0] * along[0] + at[1] * along[1],
                aside: along[0] * at[1] - along[1] * at[0],
            }
        };
        contact.nodes[..contact.face()].iter().enumerate().map(place).collect()
    }
}

/// A node seen from the centre of a tool in the direction of its force, mm.
struct Place {
    ahead: f64,
    aside: f64,
}

impl Place {
    /// Distance from the centre after the tool has gone `way`.
    fn distance(&self, way: f64) -> f64 {
        (self.ahead - way).hypot(self.aside)
    }

    /// Whether it could carry the force after the tool has gone `way`.
    fn stands_against(&self, way: f64) -> bool {
        self.ahead - way >= AHEAD * self.distance(way)
    }

    /// How far a tool of `radius` can go until it touches; negative when it is beyond.
    fn way(&self, radius: f64) -> Option<f64> {
        let half_chord = radius * radius - self.aside * self.aside;
        (self.ahead > 0.0 && half_chord >= 0.0).then(|| self.ahead - half_chord.sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_pin_with_play_goes_as_far_as_its_play() {
        // Hole of radius 3 about the origin, pin of radius 2.9: the node straight ahead is first.
        let ways = [-40.0_f64, -20.0, 0.0, 20.0, 40.0].map(|degrees| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            Place { ahead: 3.0 * cos, aside: 3.0 * sin }.way(2.9).expect("it is in the way")
        });
        assert_relative_eq!(ways[2], 0.1, max_relative = 1e-12);
        assert!(ways[1] > ways[2] && ways[0] > ways[1]);
        assert!(Place { ahead: 0.0, aside: 3.0 }.way(2.9).is_none());
        assert!(Place { ahead: -3.0, aside: 0.0 }.way(2.9).is_none());
    }
}
