//! Coulomb friction between a tool and the metal.
//!
//! ```text
//! |q| ≤ μ(p) p        slip only where |q| = μ(p) p, and the friction on the metal acts against it
//! ```

use serde::{Deserialize, Serialize};

/// Coefficient of friction of a pair of surfaces.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Friction {
    /// None: the tool carries normal forces only.
    #[default]
    None,
    /// One coefficient at any pressure.
    Constant(f64),
    /// Rows `[pressure in MPa, coefficient]`, pressures rising: straight between them, constant
    /// beyond the ends.
    Table(Vec<[f64; 2]>),
}

impl Friction {
    /// Friction with one coefficient; none with zero.
    #[must_use]
    pub fn constant(coefficient: f64) -> Self {
        if coefficient > 0.0 { Self::Constant(coefficient) } else { Self::None }
    }

    /// Whether there is any.
    #[must_use]
    pub fn acts(&self) -> bool {
        *self != Self::None
    }

    /// Coefficient at a contact `pressure` in MPa.
    #[must_use]
    pub fn coefficient(&self, pressure: f64) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Constant(coefficient) => *coefficient,
            Self::Table(rows) => interpolate(rows, pressure),
        }
    }

    /// Largest force along the surface that a normal `force` (N) over `area` (mm²) allows, N.
    #[must_use]
    pub fn limit(&self, force: f64, area: f64) -> f64 {
        let push = force.max(0.0);
        self.coefficient(push / area) * push
    }
}

fn interpolate(rows: &[[f64; 2]], pressure: f64) -> f64 {
    let after = rows.partition_point(|[p, _]| *p <= pressure);
    match (after.checked_sub(1).map(|k| rows[k]), rows.get(after)) {
        (Some([p0, m0]), Some([p1, m1])) => m0 + (m1 - m0) * (pressure - p0) / (p1 - p0),
        (Some([_, last]), None) => last,
        (None, Some([_, first])) => *first,
        (None, None) => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn a_table_is_straight_between_its_rows_and_constant_beyond() {
        let friction = Friction::Table(vec![[220.0, 0.08], [440.0, 0.05], [660.0, 0.04]]);
        assert_relative_eq!(friction.coefficient(100.0), 0.08);
        assert_relative_eq!(friction.coefficient(330.0), 0.065);
        assert_relative_eq!(friction.coefficient(660.0), 0.04);
        assert_relative_eq!(friction.coefficient(900.0), 0.04);
        assert_relative_eq!(friction.limit(440.0, 2.0), 0.08 * 440.0);
        assert_relative_eq!(friction.limit(-1.0, 2.0), 0.0);
    }
}
