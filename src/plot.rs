//! Pictures of a run, each as SVG and PNG under one name, line charts with their numbers
//! as CSV beside them.
//!
//! A figure is laid out once as marks on a sheet; the marks are then laid on a bitmap and
//! on an SVG backend of the plotting library. Text uses an embedded font: no font need be installed. Equal input gives
//! equal bytes. Numbers come in mm and MPa and are printed in the units of the case.
//!
//! Figures are not interactive, and none of them smooths: what a contour shows is the
//! interpolation of the elements themselves.
//!
//! Floor 9.

mod backend;
mod bars;
mod chart;
pub mod clip;
pub mod colour;
mod comparison;
mod convergence;
mod curves;
mod deformed;
mod edge_loop;
mod figure;
mod font;
mod fringe;
mod growth;
mod hoop;
pub mod interference;
mod lattice;
pub mod level;
mod life_figures;
mod mesh_picture;
mod paths;
mod plate_view;
mod png;
mod pressure;
mod refinement;
mod region;
mod scaled;
mod service;
mod sheet;
mod spread;
mod steps;
mod stroke;
mod svg;
mod toolsheet_figures;
mod zone_border;
mod zones;

pub use bars::{Bars, bar_chart};
pub use comparison::{Compared, ComparisonChart, Spacing, Style, comparison_chart};
pub use convergence::convergence_history;
pub use curves::{Curve, CurveChart, Look, curve_chart};
pub use deformed::deformed_outline;
pub use edge_loop::{deviatoric, deviatoric_path, edge_loop};
pub use figure::{Figure, FigureContext, FigureError};
pub use fringe::fringe_view;
pub use growth::plastic_growth;
pub use hoop::{MeshLines, hoop_closeup, hoop_contour};
pub use life_figures::life_figures;
pub use mesh_picture::mesh_picture;
pub use paths::{Overlay, drawn_stages, hoop_paths};
pub use pressure::{contact_pressure_round_hole, pressure_history};
pub use refinement::refinement;
pub use scaled::{Scale, scaled_chart};
pub use service::{service_loop, service_reversals};
pub use spread::{Counted, Histogram, histogram, profile_band};
pub use steps::{Component, stress_steps};
pub use toolsheet_figures::toolsheet_figures;
pub use zones::plastic_zones;
