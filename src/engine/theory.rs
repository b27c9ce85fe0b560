//! Closed forms that the simulator is held against, each a struct with its limits and its traps.
//!
//! Tests, figures and lessons ask the same structs. Nothing here knows elements,
//! meshes or the solver, and the solver never asks here.
//!
//! Conventions: tension positive; pressure positive in compression; hoop and
//! radial about the centre of the hole; angles in radians, counter-clockwise
//! from +x. Units mm and MPa, though any one pair of length and stress will do
//! as long as Young's modulus is in it too (one published example is in mm and GPa).
//!
//! | form | module | takes as given | valid | held against |
//! |---|---|---|---|---|
//! | ring under pressure, tool pressed in | [`lame`] | elastic, small strains, even pressure, free or no outer edge | while nothing yields; every idealisation | by it: `tests/elastic/ring.rs`, `tests/contact.rs` |
//! | rings one in another: stepped, pressed or shrunk together | [`nested_rings`] | elastic, plane stress, one middle plane | while nothing yields and no fit opens | `tests/regions.rs`, `tests/temperature.rs` |
//! | hole under remote stress | [`plate_hole`] | elastic, infinite plate | hole far from every edge: 2a/width below 0.05 for 1 % | `tests/elastic/holes.rs` |
//! | strip with a hole | [`strip_hole`] | elastic, long strip, central hole | 2a/width up to 0.6 (table), 0.9 (formulas) | `tests/elastic/holes.rs` |
//! | hole near a straight edge | [`edge_hole`] | elastic half plane | any ligament; the pulled one at the tabled distances | `tests/elastic/holes.rs` |
//! | pin pressed sideways, touching all round | [`pin_in_sheet`] | elastic, infinite sheet, rigid smooth pin with interference | while it touches all round | `tests/bearing.rs` |
//! | thick cylinder, partly plastic | [`plastic_cylinder`] | plane strain, perfectly plastic, Tresca, first loading | up to the limit pressure, and while the axial stress is the middle one; von Mises as ν → ½ | `tests/plastic_cylinder/plane_strain.rs` |
//! | the same after release | [`residual_cylinder`] | reverse yield stress a fixed share of the first | as above; reverse yielding included | `tests/plastic_cylinder/plane_strain.rs`, `tests/ream.rs` |
//! | sheet, partly plastic | [`plastic_sheet`], [`sheet_flow`] | plane stress, perfectly plastic, von Mises, first loading; displacements by the flow rule | up to the largest pressure, an opening of about 3.5 σy/E | `tests/plastic_cylinder/sheet.rs` |
//! | the same after release | [`residual_sheet`] | unloading is elastic | up to a pressure of σy in an infinite sheet | `tests/plastic_cylinder/sheet.rs` |
//! | sheet that hardens | [`hardening_sheet`] | plane stress, infinite, Ramberg–Osgood, total strains, first loading | pressure to 2 % up to 4 % opening, hoop at the hole up to 1 % | `tests/plastic_cylinder/hardening.rs` |
//! | sheet that thins and hardens | [`thinning_sheet`] | plane stress, free rim, **finite strain**, linear isotropic hardening, rigid tool, first loading | while the sheet bears it | `tests/finite/walls.rs` |
//! | larger cut | [`ream`] | a field above; the rest stays elastic | while the new edge does not yield | `tests/ream.rs` |
//! | two remote stresses, plastic | [`galin`] | plane strain, ν = ½, perfectly plastic | while the ellipse encloses the hole | `tests/theory/elliptic_front.rs` |
//!
//! All but [`thinning_sheet`] are theories of small strains: a case that is held against one of them says
//! `strains = "small"`. `result::closed_form` finds which of them speaks of a case.
//!
//! Meaning of the source labels: *derived* — worked out again from first
//! principles, the named author has the credit; *computed* — evaluated
//! independently of any finite elements, converged to the digits shown; *from
//! memory* — recalled, not looked up.
//!
//! Floor 3.

pub mod edge_hole;
pub mod fastener;
pub mod field;
pub mod galin;
pub mod hardening_sheet;
pub mod lame;
pub mod nested_rings;
pub mod pin_in_sheet;
pub mod plastic_cylinder;
pub mod plastic_sheet;
pub mod plate_hole;
pub mod range;
pub mod ream;
pub mod residual_cylinder;
pub mod residual_sheet;
pub mod sheet_flow;
pub mod strip_hole;
pub mod thinning_sheet;
pub mod wall;
