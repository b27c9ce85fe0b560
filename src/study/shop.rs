//! Holes from the shop: what measured sizes say of every hole of a lot, on a surrogate of full solutions.
//!
//! 1. [`domain`](mod@domain): over which applied expansions and reams the surrogate is made; one
//!    expansion tells what a ream must clean.
//! 2. [`nodes`]: full solutions at Chebyshev points of both, some under the bounding hardening laws, and some at
//!    random sizes that the surrogate is not made of.
//! 3. [`surrogate`]: polynomials through the first, their error by the last.
//! 4. [`judge`](mod@judge): every hole by its readings; [`causes`]: what an odd one would look like;
//!    [`lot`]: what all of them have in common, and their control charts.
//!
//! The numbers do not depend on how many threads there are.

pub mod causes;
mod densities;
pub mod domain;
pub mod judge;
pub mod lot;
pub mod nodes;
pub mod output;
pub mod readings;
pub mod shop_error;
pub mod surrogate;

pub use crate::study::shop::judge::{Estimate, Judged, judge};
pub use crate::study::shop::lot::{Lot, Series, judge_lot};
pub use crate::study::shop::output::{OUTPUTS, Output, Sizes};
pub use crate::study::shop::shop_error::ShopError;
pub use crate::study::shop::surrogate::Surrogate;
