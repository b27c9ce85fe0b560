//! The live page: a case with sliders, answered while the hand is still on them.
//!
//! [`deck`] says which parts of a case can be moved and writes the case file that a position of them
//! stands for; [`answer`] solves it, coarsely first and as the command line does then, and [`section`] the
//! sections of its holes; [`desk`] lets the newest question win; [`lesson`] asks before it answers; `pack` lays the answer out for the page; [`server`] hands it over, on the
//! loopback address alone. The page itself is plain HTML, CSS and scripts, see `live/page`.
//!
//! Floor 10.

pub mod answer;
pub mod controls;
pub mod deck;
pub mod desk;
mod files;
mod http;
pub mod lesson;
mod pack;
mod question;
pub mod section;
pub mod server;
mod split;
mod trouble;

pub use trouble::Trouble;
