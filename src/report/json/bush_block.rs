//! The block of a bush in `summary.json`.

use crate::report::json::border::Border;
use crate::report::json::schema::{Bush, Spread};
use crate::result::fit::BushSummary;
use crate::units::quantity::Quantity::{Force, Fraction, Length, Stress};

/// A bush in border units.
pub(super) fn bush_of(bush: &BushSummary, border: &mut Border) -> Bush {
    let mut spread = |key: &str, [lowest, highest]: [f64; 2]| Spread {
        lowest: border.number(key, Stress, lowest),
        highest: border.number(key, Stress, highest),
    };
    let (bore_hoop, hole_hoop) =
        (spread("bore_hoop", bush.bore_hoop), spread("hole_hoop", bush.hole_hoop));
    Bush {
        mean_pressure: border.number("mean_pressure", Stress, bush.mean_pressure),
        highest_pressure: border.number("highest_pressure", Stress, bush.highest_pressure),
        lowest_pressure: border.number("lowest_pressure", Stress, bush.lowest_pressure),
        touching: border.number("touching", Fraction, bush.touching),
        sticking: border.number("sticking", Fraction, bush.sticking),
        widest_gap: border.number("widest_gap", Length, bush.widest_gap),
        push_out_force: border.number("push_out_force", Force, bush.push_out_force),
        bore_hoop,
        hole_hoop,
    }
}
