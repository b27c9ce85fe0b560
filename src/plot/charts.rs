//! Charts: curves, bars and points over two axes.
//!
//! Floor 9, `plot`.

pub(crate) mod axis;
mod bars;
pub(crate) mod chart;
mod comparison;
mod convergence;
pub(crate) mod curves;
pub(crate) mod edge_loop;
mod front_figures;
pub(crate) mod legend;
mod life_figures;
pub(crate) mod marker;
mod measured;
mod paths;
pub(crate) mod pressure;
mod refinement;
mod scaled;
pub(crate) mod scales;
mod section;
mod service;
mod spread;
mod steps;
mod toolsheet_figures;

pub use bars::{Bars, bar_chart};
pub use comparison::{Compared, ComparisonChart, Spacing, Style, comparison_chart};
pub use convergence::convergence_history;
pub use curves::{Curve, CurveChart, Look, curve_chart};
pub use edge_loop::{deviatoric, deviatoric_path, edge_loop};
pub use life_figures::life_figures;
pub use measured::{Measured, MeasuredError, MeasuredPoint};
pub use paths::{Band, Overlay, PathChart, drawn_stages, hoop_paths};
pub use pressure::{contact_pressure_round_hole, pressure_history};
pub use refinement::refinement;
pub use scaled::{Scale, scaled_chart};
pub use scales::Normal;
pub use section::{bore_diameter, hoop_along_bore, hoop_by_depth, pull_force};
pub use service::{service_loop, service_reversals};
pub use spread::{Counted, Histogram, histogram, profile_band};
pub use steps::{Component, stress_steps};
pub use toolsheet_figures::toolsheet_figures;
