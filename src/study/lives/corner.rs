//! Corner cracks at the entry face of the holes, beside the through cracks.
//!
//! The same places, loads and residual fields; the plane field counts as that of the middle of the
//! thickness, and the entry face has a stated share of it.

use crate::case::Case;
use crate::case::life_table::LifeSettings;
use crate::fatigue::assessment::{Comparison, Ground, Place};
use crate::fatigue::front::band::{PERCENTILES, Spread, drawn_lives, percentile, rising, swings};
use crate::fatigue::front::equations::Site;
use crate::fatigue::front::field::{MEASURED_SHARES, USUAL_SHARE};
use crate::fatigue::front::growth::{Draw, FrontGrower};
use crate::fatigue::front::intensity::{
    FieldShare, FrontCrack, FrontTable, along_front, outside_fit,
};
use crate::fatigue::table::IntensityTable;
use crate::fatigue::weight_function::WeightError;
use crate::study::lives::corner_report::{CornerBand, CornerPlace, CornerReport, FlawLife};
use crate::study::lives::life_report::Bound;

/// Flaws of public military guidance, mm: 0.005 and 0.05 in.
const FLAWS: [f64; 2] = [0.127, 1.27];
/// Smallest size on the grid, mm: half the smaller flaw, for draws below it.
const LEAST: f64 = 0.06;
/// Angles at which K along the front is shown, degrees.
const FRONT: [f64; 11] = [5.0, 10.0, 20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 75.0, 80.0, 85.0];
/// Lives that are drawn.
const DRAWN: usize = 1000;
/// Shares of the residual field when the bounding laws were not computed: a choice of ours.
const USUAL_WHOLE: [f64; 2] = [0.75, 1.0];

/// Corner cracks of a case at the places of `holes`; `None` when no place can have one.
pub(super) fn corner(
    case: &Case,
    settings: &LifeSettings,
    ground: &Ground,
    holes: &[Comparison],
    bounds: &[Bound],
) -> Option<CornerReport> {
    let entry = settings.entry_share.unwrap_or(USUAL_SHARE);
    let field = FieldShare { whole: 1.0, entry };
    let thickness = case.job.plate.thickness;
    let (mut places, mut cracks) = (Vec::new(), Vec::new());
    for comparison in holes {
        let place = &comparison.place;
        let site = Site::HoleCorner(place.geometry.sides());
        let Ok((crack, grower)) = grower(ground, settings, place, site, thickness) else {
            continue;
        };
        let draw = Draw { flaw: [ground.initial; 2], field, growth: 1.0 };
        let plain = grower.life(&ground.sequence, &draw.plain());
        let expanded = grower.life(&ground.sequence, &draw);
        let outside = outside_fit(&crack, draw.flaw);
        cracks.push(crack);
        places.push(CornerPlace {
            hole: place.hole.clone(),
            angle_deg: place.angle_deg,
            draw,
            outside,
            grower,
            plain,
            expanded,
        });
    }
    let governing = (0..places.len()).min_by(|&a, &b| {
        let key = |k: usize| {
            let at: &CornerPlace = &places[k];
            [at.expanded.cycles_borne(), at.plain.cycles_borne()]
        };
        let ([one, plain], [other, other_plain]) = (key(a), key(b));
        one.total_cmp(&other).then(plain.total_cmp(&other_plain))
    })?;
    let worst: &CornerPlace = &places[governing];
    let spread = Spread {
        middle: worst.draw,
        whole: whole(holes, bounds, ground.initial),
        entry: settings.entry_share.map_or(MEASURED_SHARES, |own| [own, own]),
    };
    let drawn = drawn_lives(&worst.grower, &ground.sequence, &spread, DRAWN);
    let lives = rising(drawn.iter().map(|pair| pair[0]));
    let factors = rising(drawn.iter().map(|[expanded, plain]| expanded / plain));
    let band = CornerBand {
        count: DRAWN,
        percents: PERCENTILES,
        lives: PERCENTILES.map(|percent| percentile(&lives, percent)),
        factors: PERCENTILES.map(|percent| percentile(&factors, percent)),
        spread,
        swings: swings(&worst.grower, &ground.sequence, &spread),
    };
    let flaws = FLAWS
        .into_iter()
        .map(|flaw| {
            let draw = Draw { flaw: [flaw; 2], ..worst.draw };
            let life = |draw: &Draw| {
                let lives =
                    places.iter().map(|at| at.grower.life(&ground.sequence, draw).cycles_borne());
                lives.fold(f64::INFINITY, f64::min)
            };
            FlawLife { flaw, plain: life(&draw.plain()), expanded: life(&draw) }
        })
        .collect();
    let worst_crack = &cracks[governing];
    let front = along_front(worst_crack, worst.draw.flaw, &FRONT)
        .into_iter()
        .map(|(degrees, parts)| [degrees, parts.load, parts.residual(field)])
        .collect();
    Some(CornerReport {
        places,
        governing,
        entry,
        given: settings.entry_share.is_some(),
        front,
        band,
        flaws,
        retardation: settings.retardation,
    })
}

fn grower(
    ground: &Ground,
    settings: &LifeSettings,
    place: &Place,
    site: Site,
    thickness: f64,
) -> Result<(FrontCrack, FrontGrower), WeightError> {
    let crack = FrontCrack {
        site,
        geometry: place.geometry,
        thickness,
        load: place.load_hoop.clone(),
        residual: place.residual_hoop.clone(),
    };
    let through = place.plain().with_residual(place.residual_hoop.clone());
    let least = LEAST.min(0.5 * ground.initial);
    let grower = FrontGrower {
        table: FrontTable::new(&crack, least)?,
        through: IntensityTable::new(&through, least)?,
        geometry: place.geometry,
        model: ground.model.clone(),
        limits: ground.limits,
        contact: ground.contact,
        retardation: settings.retardation,
        step_share: 1.0,
    };
    Ok((crack, grower))
}

/// Shares of the residual field between the bounding hardening laws: their residual K of a through crack as
/// long as the flaw, over that of the law given.
fn whole(holes: &[Comparison], bounds: &[Bound], flaw: f64) -> [f64; 2] {
    let residual = |at: &Comparison| at.expanded.grower.table().at(flaw).residual;
    let mut shares = vec![1.0];
    for bound in bounds {
        let own = holes.iter().find(|at| {
            at.place.hole == bound.worst.place.hole
                && at.place.angle_deg.total_cmp(&bound.worst.place.angle_deg).is_eq()
        });
        if let Some(own) = own.map(residual).filter(|own| *own < 0.0) {
            shares.push(residual(&bound.worst) / own);
        }
    }
    if shares.len() == 1 {
        return USUAL_WHOLE;
    }
    shares.iter().fold([1.0, 1.0], |[low, high], share| [low.min(*share), high.max(*share)])
}
