//! Pictures of the plate: fields, zones, mesh, deformed shape, fringes.

pub(crate) mod contour;
mod deformed;
mod dimensions;
mod fringe;
mod hoop;
pub mod interference;
pub(crate) mod lattice;
mod mesh_picture;
mod scan;
pub(crate) mod view;
pub(crate) mod zone_border;
mod zones;

pub use deformed::deformed_outline;
pub use dimensions::{PlateMarks, plate_drawing};
pub use fringe::fringe_view;
pub use hoop::{MeshLines, hoop_closeup, hoop_contour};
pub use mesh_picture::mesh_picture;
pub use zones::plastic_zones;
