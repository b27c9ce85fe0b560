//! Stress intensity, growth, life, counting and initiation against tables, closed forms and an
//! independent solution. Each check names its source; "computed" means evaluated independently
//! of this program's method. Units mm, N, MPa, MPa√mm unless said.
#![allow(clippy::unwrap_used, clippy::float_cmp, missing_docs)]
#![allow(clippy::print_stdout, reason = "what was measured, for `--nocapture`")]

#[path = "fatigue/counting.rs"]
mod counting;
#[path = "fatigue/decisions.rs"]
mod decisions;
#[path = "fatigue/dislocations.rs"]
mod dislocations;
#[path = "fatigue/front.rs"]
mod front;
#[path = "fatigue/front_growth.rs"]
mod front_growth;
#[path = "fatigue/growth.rs"]
mod growth;
#[path = "fatigue/influence.rs"]
mod influence;
#[path = "fatigue/initiation.rs"]
mod initiation;
#[path = "fatigue/intensity.rs"]
mod intensity;
#[path = "fatigue/life.rs"]
mod life;
#[path = "fatigue/part_through.rs"]
mod part_through;
#[path = "fatigue/profiles.rs"]
mod profiles;
