//! A study solved: many cases of one base, each by one thread, stages shared where cases agree on them.
//!
//! [`Points`] numbers the cases, [`WorkList`] puts together those that share their first stages,
//! [`solve`](mod@solve) works one after the other on one thread, [`crew`] is all the threads.
//! Numbers come in the units of the base case.

pub mod columns;
pub mod crew;
mod measure;
pub mod outcome;
pub mod points;
pub mod ream_lines;
pub mod sensitivity;
pub mod solve;
pub mod work_list;

pub use crate::study::sweep::columns::numbers;
pub use crate::study::sweep::outcome::{Outcome, PathRow, PointStatus};
pub use crate::study::sweep::points::Points;
pub use crate::study::sweep::work_list::WorkList;
