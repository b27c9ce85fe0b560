//! Troubles planted in lots of sound holes, and what is found of them.

use hoopset::case::shop::{HoleRow, Shop};
use hoopset::numeric::random::Random;
use hoopset::study::shop::causes::Kind;
use hoopset::study::shop::output::Sizes;
use hoopset::study::shop::{Surrogate, judge_lot};

use super::{read_off, shop, surrogate};

/// Sizes that a shop left, and what its gauges will read of the expanded hole.
#[derive(Clone, Copy)]
struct Hole {
    sizes: Sizes,
    wall: f64,
    expanded: f64,
}

fn within(random: &mut Random, [low, high]: [f64; 2]) -> f64 {
    low + (high - low) * random.share()
}

/// A sound hole: every size anywhere within its limits.
fn hole(shop: &Shop, surrogate: &Surrogate, random: &mut Random) -> Hole {
    let start = within(random, shop.start.limits);
    let mandrel = within(random, shop.mandrel.limits);
    let wall = within(random, shop.sleeve.unwrap().limits);
    let reamed = Some(within(random, shop.reamed.unwrap().limits));
    let acting = mandrel + 2.0 * wall;
    let expanded = surrogate.expanded(start, acting);
    Hole { sizes: Sizes { start, acting, reamed }, wall, expanded }
}

/// `count` sound holes.
pub(crate) fn sound(shop: &Shop, surrogate: &Surrogate, count: usize, seed: u64) -> Vec<HoleRow> {
    let mut random = Random::new(seed);
    (0..count)
        .map(|k| {
            let hole = hole(shop, surrogate, &mut random);
            let name = format!("S{k}");
            read_off(shop, name, &hole.sizes, hole.wall, hole.expanded, &mut random)
        })
        .collect()
}

/// At the limits a sound hole is as likely as anywhere within them; readings beyond a limit are common then.
#[test]
fn false_alarms_are_as_rare_as_told() {
    let (mut shop, made) = (shop(), surrogate());
    shop.holes = sound(&shop, made, 20_000, 11);
    for share in [0.001, 0.01, 0.05] {
        shop.false_alarms = share;
        let lot = judge_lot(&shop, made);
        let found = lot.suspects().count() as f64 / 20_000.0;
        // Three standard deviations of a count of this chance.
        let most = share + 3.0 * (share / 20_000.0_f64).sqrt();
        eprintln!("stated {share}, found {found}");
        assert!(found <= most, "{found} of {share}");
        // The test of the expanded diameter has a fifth of it, whatever the limits do; less four standard deviations.
        let own = 0.2 * share;
        assert!(found >= own - 4.0 * (own / 20_000.0_f64).sqrt(), "{found} of {share}");
    }
}

/// Readings of a hole with a trouble.
fn planted(
    shop: &Shop,
    made: &Surrogate,
    kind: Kind,
    name: String,
    random: &mut Random,
) -> HoleRow {
    let mut hole = hole(shop, made, random);
    let Hole { sizes, wall, .. } = hole;
    let stated = sizes;
    match kind {
        Kind::NotExpanded => hole.expanded = sizes.start,
        Kind::SleeveLeftOut => {
            hole.expanded = made.expanded(sizes.start, sizes.acting - 2.0 * wall);
        }
        Kind::ReamedFirst => {
            let ream = sizes.reamed.unwrap();
            hole.expanded = made.expanded(ream, sizes.acting);
        }
        Kind::WornMandrel => hole.expanded = made.expanded(sizes.start, sizes.acting - 0.04),
        Kind::LargeTool => hole.expanded = made.expanded(sizes.start, sizes.acting + 0.04),
        Kind::StartTooLarge => {
            hole.sizes.start = shop.start.limits[1] + 0.04;
            hole.expanded = made.expanded(hole.sizes.start, sizes.acting);
        }
        Kind::StartTooSmall => {
            hole.sizes.start = shop.start.limits[0] - 0.04;
            hole.expanded = made.expanded(hole.sizes.start, sizes.acting);
        }
        Kind::WrongReam => hole.sizes.reamed = Some(shop.reamed.unwrap().limits[1] + 0.05),
        Kind::WrongReading => hole.expanded -= 0.4,
        _ => {}
    }
    let mut row = read_off(shop, name, &hole.sizes, wall, hole.expanded, random);
    if kind == Kind::Interchanged {
        std::mem::swap(&mut row.start, &mut row.expanded);
    }
    if kind == Kind::WrongSleeve {
        // A sleeve that is read as it is, and works as it is.
        let wall = shop.sleeve.unwrap().limits[1] + 0.02;
        let acting = stated.acting + 2.0 * (wall - hole.wall);
        let expanded = made.expanded(stated.start, acting);
        let sizes = Sizes { acting, ..stated };
        row = read_off(shop, row.name, &sizes, wall, expanded, random);
    }
    row
}

/// Each kind is planted in 100 holes of 1000. Kinds that leave the same readings share the first place.
#[test]
fn every_trouble_is_found_where_it_was_planted() {
    let made = surrogate();
    for kind in [
        Kind::NotExpanded,
        Kind::SleeveLeftOut,
        Kind::ReamedFirst,
        Kind::WornMandrel,
        Kind::LargeTool,
        Kind::WrongSleeve,
        Kind::StartTooLarge,
        Kind::StartTooSmall,
        Kind::WrongReam,
        Kind::Interchanged,
        Kind::WrongReading,
    ] {
        let mut shop = shop();
        shop.holes = sound(&shop, made, 900, 5);
        let mut random = Random::new(17);
        for k in 0..100 {
            let name = format!("P{k}");
            let row = planted(&shop, made, kind, name, &mut random);
            shop.holes.insert(9 * k + 3, row);
        }
        let lot = judge_lot(&shop, made);
        let is_planted = |k: usize| shop.holes[k].name.starts_with('P');
        let alarms = lot.suspects().filter(|k| is_planted(*k)).count();
        let named = lot.suspects().filter(|k| is_planted(*k)).filter(|k| {
            let causes = &lot.causes[*k].0;
            let own = causes.iter().find(|cause| cause.kind == kind);
            own.is_some_and(|own| own.share >= causes[0].share - 1e-9)
        });
        let (named, false_alarms) =
            (named.count(), lot.suspects().filter(|k| !is_planted(*k)).count());
        eprintln!("{}: suspects {alarms}, named {named}, false {false_alarms}", kind.words());
        assert!(alarms >= 98, "{}: {alarms}", kind.words());
        assert!(named >= 90, "{}: {named}", kind.words());
        // One in a thousand at most: more than five of 900 has a chance below 4e-4.
        assert!(false_alarms <= 5, "{}: {false_alarms}", kind.words());
    }
}

/// Two mandrels of one size range are 0.03 mm apart: readings that changed places tell.
#[test]
fn expanded_readings_that_changed_places_name_each_other() {
    let (mut shop, made) = (shop(), surrogate());
    shop.holes = sound(&shop, made, 200, 3);
    let mut random = Random::new(4);
    let mut row = |name: &str, mandrel: f64, of: f64| {
        let sizes = Sizes { start: 5.70, acting: mandrel + 0.4, reamed: Some(6.006) };
        let expanded = made.expanded(5.70, of + 0.4);
        read_off(&shop, name.to_owned(), &sizes, 0.2, expanded, &mut random)
    };
    let pair = [row("X", 5.506, 5.534), row("Y", 5.534, 5.506)];
    shop.holes.extend(pair);
    let lot = judge_lot(&shop, made);
    for (own, other) in [(200, 201), (201, 200)] {
        assert!(!lot.holes[own].alarms.is_empty());
        let causes = &lot.causes[own].0;
        assert_eq!(causes[0].kind, Kind::Swapped, "{causes:?}");
        assert_eq!(causes[0].partner, Some(other));
    }
}

/// A lot whose every reading is off by as much is told as one, not as a thousand suspects.
#[test]
fn a_gauge_that_is_off_for_all_is_told_of_the_lot() {
    let (mut shop, made) = (shop(), surrogate());
    shop.holes = sound(&shop, made, 300, 9);
    for row in &mut shop.holes {
        row.expanded = row.expanded.map(|expanded| expanded + 0.08);
    }
    let lot = judge_lot(&shop, made);
    eprintln!("{:?}", lot.offset);
    assert!(lot.offset.odd && (lot.offset.value - 0.08).abs() < 0.002, "{:?}", lot.offset);
    assert!(lot.suspects().count() <= 4);
}

/// Two things at once are told as more than one.
#[test]
fn two_troubles_in_one_hole_are_not_told_as_one() {
    let (mut shop, made) = (shop(), surrogate());
    shop.holes = sound(&shop, made, 50, 2);
    shop.holes[7].reamed = Some(6.08);
    shop.holes[7].expanded = shop.holes[7].start;
    let lot = judge_lot(&shop, made);
    assert!(lot.causes[7].1, "{:?}", lot.causes[7]);
    shop.holes[7].reamed = Some(6.006);
    assert!(!judge_lot(&shop, made).causes[7].1);
}
