//! Fatigue of a hole: from hoop stress along a path to stress intensity, growth and life.
//!
//! A [`crack`] runs straight from the hole edge along a path. Its stress intensity under
//! load and under the residual field comes from a [`weight_function`] and the *uncracked*
//! hoop profile ([`intensity`]); a [`growth`] law with tabulated [`constants`] turns it into
//! a [`crack_life`] under a [`sequence`] of [`cycle`]s, counted from a [`spectrum`] by
//! [`rainflow`]. [`strain_life`] answers for initiation, [`inspection`] and [`trade`] for
//! what follows.
//!
//! Conventions: lengths in mm from the hole edge, stress in MPa, stress intensity in MPa√mm,
//! growth in mm per cycle. Growth constants are *stored* as tables print them, m per cycle
//! and MPa√m, and converted in [`growth`] alone. Tension positive.
//!
//! Through cracks; [`front`] has corner cracks. Outside: cracks that interact, corrosion, fretting, and
//! the quality of the work.
//!
//! Floor 1.

pub mod assessment;
pub mod closure;
pub mod constants;
pub mod crack;
pub mod crack_life;
pub mod cycle;
pub mod end;
pub mod front;
pub mod growth;
pub mod influence;
pub mod initiation;
pub mod inspection;
pub mod intensity;
pub mod neuber;
pub mod origin;
mod pass;
pub mod rainflow;
pub mod sequence;
pub mod spectrum;
pub mod strain_life;
pub mod table;
pub mod trade;
pub mod weight_function;
pub mod weight_table;
pub mod width;
