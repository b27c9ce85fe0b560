//! Part-through cracks of the case, beside the through cracks: at the corner of a hole on the entry face, in its
//! bore, at the corner of a plate edge.
//!
//! The same places, loads and residual fields. The plane field counts as that of the middle of the thickness, and
//! the entry face has a stated share of it; where the case has a field over the depth, its change with depth is
//! added to the plane field.

use crate::case::Case;
use crate::case::life_table::LifeSettings;
use crate::case::part_through::PartThroughCrack;
use crate::fatigue::assessment::{Comparison, CrackOrigin, Ground, Place};
use crate::fatigue::front::band::{PERCENTILES, Spread, drawn_lives, percentile, rising, swings};
use crate::fatigue::front::equations::Site;
use crate::fatigue::front::field::{MEASURED_SHARES, ResidualField, USUAL_SHARE};
use crate::fatigue::front::front_life::{Draw, FrontLife};
use crate::fatigue::front::growth::FrontGrower;
use crate::fatigue::front::intensity::FrontTable;
use crate::fatigue::front::parts::{
    FieldShare, FrontCrack, IntensitySource, along_front, outside_fit,
};
use crate::fatigue::table::IntensityTable;
use crate::fatigue::weight_function::WeightError;
use crate::study::lives::corner_report::{
    CornerBand, CornerPlace, CornerReport, DepthSource, FlawLife, SectionUsed,
};
use crate::study::lives::life_report::Bound;
use crate::study::lives::plan::Plan;
use crate::study::section_beside::HoleSection;

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

/// Part-through cracks of a case at the places of `comparisons`; `None` when no place can have one.
pub(super) fn corner(
    case: &Case,
    settings: &LifeSettings,
    plan: &Plan,
    comparisons: &[Comparison],
    bounds: &[Bound],
) -> Option<CornerReport> {
    let Plan { ground, sections, .. } = plan;
    let entry = settings.entry_share.unwrap_or(USUAL_SHARE);
    let field = FieldShare { whole: 1.0, entry };
    let (mut places, mut cracks) = (Vec::new(), Vec::new());
    for Begun { place, site, crack, grower: own, draw } in begun(case, settings, plan, comparisons)
    {
        let plain = own.life(&ground.sequence, &draw.plain());
        let expanded = own.life(&ground.sequence, &draw);
        let other = match own.table.source() {
            IntensitySource::PublishedEquations => None,
            IntensitySource::InfluenceTable => {
                grower(ground, settings, place, &crack, IntensitySource::PublishedEquations).ok()
            }
        };
        let by_equations = other.map(|other| {
            [draw.plain(), draw].map(|draw| other.life(&ground.sequence, &draw).cycles_borne())
        });
        let outside = outside(&crack, &own, [&plain, &expanded]);
        cracks.push(crack);
        places.push(CornerPlace {
            hole: place.hole.clone(),
            angle_deg: place.angle_deg,
            site,
            draw,
            outside,
            by_equations,
            grower: own,
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
    let band = band(settings, ground, comparisons, bounds, (&places, governing))?;
    let worst: &CornerPlace = &places[governing];
    let flaws = FLAWS.map(|flaw| flaw_life(flaw, worst, &places, ground)).to_vec();
    let shown = IntensitySource::InfluenceTable;
    let front = along_front(&cracks[governing], shown, worst.draw.flaw, &FRONT)
        .into_iter()
        .map(|(degrees, parts)| [degrees, parts.load, parts.residual(field)])
        .collect();
    Some(CornerReport {
        places,
        governing,
        entry,
        given: settings.entry_share.is_some(),
        depth: depth_source(settings, sections),
        field: match &cracks[governing].residual {
            ResidualField::Section(field) => Some(field.clone()),
            ResidualField::Plane(_) => None,
        },
        front,
        band,
        flaws,
        retardation: settings.retardation,
    })
}

/// Shortest lives over all places, plain and expanded, cycles; `None` when no place can have a crack.
pub(super) fn shortest(
    case: &Case,
    settings: &LifeSettings,
    plan: &Plan,
    comparisons: &[Comparison],
) -> Option<[f64; 2]> {
    let sequence = &plan.ground.sequence;
    let lives = begun(case, settings, plan, comparisons)
        .map(|at| [at.draw.plain(), at.draw].map(|d| at.grower.life(sequence, &d).cycles_borne()));
    lives.reduce(|[plain, expanded], other| [plain.min(other[0]), expanded.min(other[1])])
}

/// A part-through crack before it grows.
struct Begun<'a> {
    place: &'a Place,
    site: Site,
    crack: FrontCrack,
    grower: FrontGrower,
    draw: Draw,
}

/// The part-through cracks of a case, at all places that can have one.
fn begun<'a>(
    case: &'a Case,
    settings: &'a LifeSettings,
    plan: &'a Plan,
    comparisons: &'a [Comparison],
) -> impl Iterator<Item = Begun<'a>> {
    let Plan { ground, sections, .. } = plan;
    let entry = settings.entry_share.unwrap_or(USUAL_SHARE);
    let field = FieldShare { whole: 1.0, entry };
    let thickness = case.job.plate.thickness;
    sites(settings, comparisons).into_iter().filter_map(move |(place, site)| {
        let crack = front_crack((settings, sections), place, site, thickness);
        let table = IntensitySource::InfluenceTable;
        let grower = grower(ground, settings, place, &crack, table).ok()?;
        let deepest = crack.deepest();
        let draw = Draw { flaw: [ground.initial.min(deepest), ground.initial], field, growth: 1.0 };
        Some(Begun { place, site, crack, grower, draw })
    })
}

/// Shortest lives of all places from a flaw of this size, mm, as deep as long.
fn flaw_life(flaw: f64, worst: &CornerPlace, places: &[CornerPlace], ground: &Ground) -> FlawLife {
    let draw = Draw { flaw: [flaw; 2], ..worst.draw };
    let life = |draw: &Draw| {
        let lives = places.iter().map(|at| at.grower.life(&ground.sequence, draw).cycles_borne());
        lives.fold(f64::INFINITY, f64::min)
    };
    FlawLife { flaw, plain: life(&draw.plain()), expanded: life(&draw) }
}

/// Drawn lives of the places where the part lives shortest, with the work and without.
fn band(
    settings: &LifeSettings,
    ground: &Ground,
    comparisons: &[Comparison],
    bounds: &[Bound],
    (places, governing): (&[CornerPlace], usize),
) -> Option<CornerBand> {
    let worst = &places[governing];
    let entry = worst.draw.field.entry;
    let entry_drawn = settings.entry_share.is_none() && worst.grower.has_entry_share;
    let spread = Spread {
        middle: worst.draw,
        whole: whole(comparisons, bounds, ground.initial),
        entry: if entry_drawn { MEASURED_SHARES } else { [entry; 2] },
    };
    let plain_worst = places.iter().min_by(|a, b| {
        let key = |at: &CornerPlace| at.plain.cycles_borne();
        key(a).total_cmp(&key(b))
    })?;
    let both = [&worst.grower, &plain_worst.grower];
    let drawn = drawn_lives(both, &ground.sequence, &spread, DRAWN);
    let lives = rising(drawn.iter().map(|pair| pair[0]));
    let factors = rising(drawn.iter().map(|[expanded, plain]| expanded / plain));
    Some(CornerBand {
        count: DRAWN,
        percents: PERCENTILES,
        lives: PERCENTILES.map(|percent| percentile(&lives, percent)),
        factors: PERCENTILES.map(|percent| percentile(&factors, percent)),
        spread,
        swings: swings(&worst.grower, &ground.sequence, &spread),
    })
}

/// Places with the part-through cracks that the case asks for there.
fn sites<'a>(settings: &LifeSettings, comparisons: &'a [Comparison]) -> Vec<(&'a Place, Site)> {
    let mut all = Vec::new();
    for place in comparisons.iter().map(|comparison| &comparison.place) {
        let sides = place.geometry.sides();
        for crack in &settings.part_through.cracks {
            let site = match (crack, place.origin) {
                (PartThroughCrack::Corner, CrackOrigin::Hole) => Site::HoleCorner(sides),
                (PartThroughCrack::Bore, CrackOrigin::Hole) => Site::Bore(sides),
                (PartThroughCrack::PlateEdge, CrackOrigin::PlateEdge) => Site::EdgeCorner,
                _ => continue,
            };
            all.push((place, site));
        }
    }
    all
}

/// Source of the field over the depth.
fn depth_source(settings: &LifeSettings, sections: &[HoleSection]) -> DepthSource {
    if !sections.is_empty() {
        let used = sections.iter().map(|section| SectionUsed {
            hole: section.hole().to_owned(),
            outer_diameter: section.job.part.outer_diameter,
            faces: section.faces(),
        });
        return DepthSource::Sections(used.collect());
    }
    match &settings.part_through.field {
        Some((name, _)) => DepthSource::File(name.clone()),
        None => DepthSource::EntryShare,
    }
}

fn front_crack(
    (settings, sections): (&LifeSettings, &[HoleSection]),
    place: &Place,
    site: Site,
    thickness: f64,
) -> FrontCrack {
    let plane = place.residual_hoop.clone();
    // The section is that of the metal round the hole.
    let at_hole = site != Site::EdgeCorner;
    let own = sections.iter().find(|section| at_hole && section.hole() == place.hole);
    let of_file = settings.part_through.field.as_ref().filter(|_| at_hole);
    let field = own
        .and_then(|section| section.field(&plane))
        .or_else(|| of_file.map(|(_, section)| section.about(&plane)));
    let residual = field.map_or(ResidualField::Plane(plane), ResidualField::Section);
    let (geometry, load) = (place.geometry, place.load_hoop.clone());
    FrontCrack { site, geometry, thickness, load, residual }
}

fn grower(
    ground: &Ground,
    settings: &LifeSettings,
    place: &Place,
    crack: &FrontCrack,
    wanted: IntensitySource,
) -> Result<FrontGrower, WeightError> {
    let through = place.plain().with_residual(crack.residual.through_mean());
    let least = LEAST.min(0.5 * ground.initial);
    Ok(FrontGrower {
        table: FrontTable::new(crack, least, wanted)?,
        through: IntensityTable::new(&through, least)?,
        // At the plate edge the balancing tension is that of the plane.
        has_entry_share: crack.residual.has_entry_share() && crack.site != Site::EdgeCorner,
        geometry: place.geometry,
        model: ground.model.clone(),
        limits: ground.limits,
        contact: ground.contact,
        retardation: settings.retardation,
        step_share: 1.0,
    })
}

/// Where a crack first leaves what its stress intensities were made for, in words.
fn outside(crack: &FrontCrack, grower: &FrontGrower, lives: [&FrontLife; 2]) -> Option<String> {
    let influence = match grower.table.source() {
        IntensitySource::InfluenceTable => crack.influence(),
        IntensitySource::PublishedEquations => None,
    };
    let corner =
        |life: &FrontLife| life.points[..life.through_at.unwrap_or(life.points.len())].to_vec();
    let sizes = lives.into_iter().flat_map(corner).map(|point| [point.a, point.c]);
    let words = |[a, c]: [f64; 2]| match &influence {
        None => outside_fit(crack, [a, c]),
        // Between the last depth of the table and the far face every crack is outside for a moment.
        Some(table) => table.outside(a, c).into_iter().find(|o| o.quantity != "a/t").map(|o| {
            format!("{} {:.2} is outside {} to {}", o.quantity, o.value, o.range[0], o.range[1])
        }),
    };
    sizes.into_iter().find_map(words)
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
