//! Part-through cracks by the table of influence coefficients, and in a residual field over distance and depth.

use hoopset::fatigue::crack::{CrackGeometry, CrackSides};
use hoopset::fatigue::cycle::{StressCycle, StressRatio};
use hoopset::fatigue::front::equations::Site;
use hoopset::fatigue::front::field::{EntryShare, ResidualField, SectionField};
use hoopset::fatigue::front::front_life::Draw;
use hoopset::fatigue::front::growth::FrontGrower;
use hoopset::fatigue::front::intensity::{ANGLES, FrontTable};
use hoopset::fatigue::front::parts::{FieldShare, FrontCrack, IntensitySource, along_front};
use hoopset::fatigue::growth::{GrowthLaw, ROOT_METRE};
use hoopset::fatigue::intensity::{ContactRule, StressIntensity};
use hoopset::fatigue::sequence::LoadSequence;
use hoopset::fatigue::table::IntensityTable;

use crate::life::limits;
use crate::profiles::{given, sampled, uniaxial};

const RADIUS: f64 = 3.0;
const THICKNESS: f64 = 6.0;
const TABLE: IntensitySource = IntensitySource::InfluenceTable;
const EQUATIONS: IntensitySource = IntensitySource::PublishedEquations;

/// A residual field like that of an expanded hole, MPa at `r` radii from the centre.
fn expanded_hole(r: f64) -> f64 {
    let s = (r - 1.0) / 1.4;
    420.0 * if s < 1.0 { s.powi(2) - 1.0 } else { 0.3 * (1.0 - s.powi(-2)) / s.powi(2) }
}

fn crack(sides: CrackSides, residual: ResidualField) -> FrontCrack {
    FrontCrack {
        site: Site::HoleCorner(sides),
        geometry: CrackGeometry::new(RADIUS, sides).unwrap(),
        thickness: THICKNESS,
        load: sampled(RADIUS, uniaxial),
        residual,
    }
}

fn plane() -> ResidualField {
    ResidualField::Plane(sampled(RADIUS, expanded_hole))
}

fn grower(crack: &FrontCrack, wanted: IntensitySource) -> FrontGrower {
    let law = GrowthLaw::Walker { coefficient: 1e-10, exponent: 3.0, gamma: 0.5, threshold: None };
    let through = StressIntensity::new(crack.geometry, crack.load.clone())
        .with_residual(crack.residual.through_mean());
    FrontGrower {
        table: FrontTable::new(crack, 0.06, wanted).unwrap(),
        through: IntensityTable::new(&through, 0.06).unwrap(),
        has_entry_share: crack.residual.has_entry_share(),
        geometry: crack.geometry,
        model: given(law),
        limits: limits(60.0 * ROOT_METRE),
        contact: ContactRule::OpenPart,
        retardation: None,
        step_share: 1.0,
    }
}

fn life(grower: &FrontGrower, flaw: f64, entry: f64) -> f64 {
    let cycle = StressCycle::with_ratio(172.0, StressRatio(0.1));
    let draw = Draw { flaw: [flaw; 2], field: FieldShare { whole: 1.0, entry }, growth: 1.0 };
    grower.life(&LoadSequence::constant(cycle).unwrap(), &draw).cycles_borne()
}

/// Between the sizes of the grid K is that of the influence coefficients themselves. 0.3 % for the load; a residual
/// K counts against what 50 MPa of load would make, 1 %: the field is sampled at places that move with the crack.
#[test]
fn the_grid_answers_as_the_influence_coefficients_do_at_sizes_between() {
    let crack = crack(CrackSides::Two, plane());
    let table = FrontTable::new(&crack, 0.06, TABLE).unwrap();
    assert_eq!(table.source(), TABLE);
    for size in [[0.127, 0.127], [0.3, 0.5], [1.27, 1.27], [2.0, 3.3], [4.0, 2.6], [5.2, 4.0]] {
        let found = table.at(size);
        for (tip, (_, exact)) in along_front(&crack, TABLE, size, &ANGLES).into_iter().enumerate() {
            let load = found[tip].load / exact.load - 1.0;
            let scale = exact.residual.abs().max(50.0 * exact.load);
            let residual = (found[tip].residual - exact.residual) / scale;
            println!("{size:?} tip {tip}: load {load:+.4}, residual {residual:+.4}");
            assert!(load.abs() < 3e-3 && residual.abs() < 1e-2, "{size:?} {tip}");
        }
    }
}

/// Where the table has no crack the equations serve, and the answer says which it is.
#[test]
fn a_crack_in_the_bore_has_the_equations() {
    let mut crack = crack(CrackSides::One, plane());
    assert_eq!(FrontTable::new(&crack, 0.06, TABLE).unwrap().source(), TABLE);
    crack.site = Site::Bore(CrackSides::One);
    assert_eq!(FrontTable::new(&crack, 0.06, TABLE).unwrap().source(), EQUATIONS);
}

/// Two corner cracks under remote tension, r/t 0.5: table over equations. The equations are 1 to 10 % low for one
/// crack by later finite elements (Gautam and others 2025, arXiv 2506.01173); 13 % covers two cracks and 5° and 80°.
#[test]
fn the_equations_lie_below_the_table_by_what_they_are_known_to() {
    let crack = crack(CrackSides::Two, plane());
    for size in [[0.3, 0.3], [1.0, 1.0], [1.0, 2.0], [3.0, 3.0], [2.0, 1.0], [5.0, 4.0]] {
        let pair = [TABLE, EQUATIONS].map(|wanted| along_front(&crack, wanted, size, &ANGLES));
        for (table, equations) in pair[0].iter().zip(&pair[1]) {
            let over = table.1.load / equations.1.load - 1.0;
            println!("{size:?} {}°: table {:+.1} % over the equations", table.0, 100.0 * over);
            assert!((-0.04..0.13).contains(&over), "{size:?}: {over}");
        }
    }
}

/// A field over the depth that is the same at all depths is the plane field with an entry share of 1, and one that
/// carries the entry share in its numbers lives as the plane field with that share. 2 %: the grid of the file.
#[test]
fn a_section_field_is_what_its_numbers_say() {
    let distances: Vec<f64> = (0..=240).map(|k| 0.05 * f64::from(k)).collect();
    let depths = vec![0.0, 3.0, 6.0];
    for entry in [1.0, 0.45] {
        let hoop = depths
            .iter()
            .flat_map(|&z| {
                distances.iter().map(move |&x| {
                    EntryShare(entry).at(z, THICKNESS) * expanded_hole(1.0 + x / RADIUS)
                })
            })
            .collect();
        let field = SectionField::new(distances.clone(), depths.clone(), hoop).unwrap();
        for sides in [CrackSides::One, CrackSides::Two] {
            let section = grower(&crack(sides, ResidualField::Section(field.clone())), TABLE);
            let flat = grower(&crack(sides, plane()), TABLE);
            let (found, known) = (life(&section, 1.27, 0.7), life(&flat, 1.27, entry));
            println!("entry {entry}, {sides:?}: {found:.0} and {known:.0}");
            assert!(found == known || (found / known - 1.0).abs() < 2e-2, "{found} {known}");
        }
    }
}

/// Where a corner crack becomes a through crack K at the face jumps. The rule (straight, as long as on the entry face)
/// is common practice without a source. 3 % was wanted, and is met where cracks that began as deep as long are through.
/// Longer cracks lie up to 3.3 % below the through crack, since their front is still curved: the three-dimensional model
/// itself tends to that. Short ones lie up to 4.6 % above: G is converted to K with plane strain along the front, while the
/// through crack is one of plane stress, which makes up to `1/√(1 − ν²)`, 5.9 %.
#[test]
fn the_join_to_the_through_crack_is_a_jump_of_known_size() {
    for (sides, known) in
        [(CrackSides::Two, [1.032, 1.015, 0.967]), (CrackSides::One, [1.046, 1.037, 0.988])]
    {
        let grower = grower(&crack(sides, plane()), TABLE);
        for (c, known) in [1.5, 3.0, 6.0].into_iter().zip(known) {
            let corner = grower.table.at([0.999 * THICKNESS, c])[0].load;
            let through = grower.through.at(c).load;
            let ratio = corner / through;
            println!("{sides:?} c/r {:.1}: corner over through {ratio:.3}", c / RADIUS);
            // 0.5 %: the digits on the page.
            assert!((ratio / known - 1.0).abs() < 5e-3, "{sides:?} {c}: {ratio}");
        }
        // Where a crack that began as deep as long is through at a plain hole, 3 % is met.
        let cycle = StressCycle::with_ratio(120.0, StressRatio(0.1));
        let field = FieldShare { whole: 0.0, entry: 1.0 };
        let draw = Draw { flaw: [1.27; 2], field, growth: 1.0 };
        let life = grower.life(&LoadSequence::constant(cycle).unwrap(), &draw);
        let through = life.points[life.through_at.unwrap()];
        let corner = grower.table.at([0.999 * THICKNESS, through.c])[0].load;
        let ratio = corner / grower.through.at(through.c).load;
        let left = 1.0 - through.cycles / life.cycles_borne();
        println!(
            "{sides:?}: through at c/r {:.2}, {ratio:.3}, {left:.2} of the life left",
            through.c / RADIUS
        );
        assert!((ratio - 1.0).abs() < 3e-2, "{sides:?}: {ratio}");
    }
}
