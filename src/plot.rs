//! Pictures of a run, each as SVG and PNG under one name, line charts with their numbers
//! as CSV beside them.
//!
//! A figure is laid out once as marks on a sheet ([`paper`]); both files are made of the same
//! marks. Text uses an embedded font: no font need be installed. Equal input gives equal bytes.
//! Numbers come in mm and MPa and are printed in the units of the case.
//!
//! Figures are not interactive. A contour shows the interpolation of the elements themselves; only
//! borders of plastic zones are evened, within an element, see `plate/zone_border.rs`.
//!
//! Floor 9.

mod band_bar;
pub mod charts;
mod figure;
mod growth;
mod level;
pub mod paper;
pub mod plate;

pub use charts::{
    Band, Bars, Compared, ComparisonChart, Component, Counted, Curve, CurveChart, DepthMap,
    FitState, Grid, HeatCell, HeatMap, HeatPanel, Histogram, Interval, Look, Multiples, Normal,
    Overlay, Panel, PathChart, Scale, Solved, Spacing, Status, StudyFigure, Style, alloy_figures,
    bar_chart, bore_diameter, comparison_chart, contact_pressure_round_hole, convergence_history,
    curve_chart, depth_map, deviatoric, deviatoric_path, drawn_stages, edge_loop, effect_figures,
    fit_pressure, heat_map, histogram, hoop_along_bore, hoop_beside, hoop_by_depth, hoop_paths,
    hoop_with_doubler, infer_figures, joint_forces, life_figures, metal_figures, multiples,
    pressure_history, profile_band, pull_force, refinement, scaled_chart, service_loop,
    service_reversals, shop_figures, stress_steps, study_figures, thickness_paths,
    toolsheet_figures,
};
pub use figure::{Figure, FigureContext, FigureError};
pub use growth::plastic_growth;
pub use plate::{
    MeshLines, PlateMarks, deformed_outline, fringe_view, hoop_closeup, hoop_contour, mesh_picture,
    plastic_zones, plate_drawing,
};
