//! Measured radial stresses serve as hoop stresses do.

use std::sync::atomic::AtomicBool;

use hoopset::process::measured::{Component, Measured};
use hoopset::study::infer::{changed, solve};
use hoopset::units::Units;

use crate::{NEAR, TRUTH, found, twin};

#[test]
fn known_values_come_back_from_radial_stresses() {
    let mut case = twin(&NEAR, 0.0, 1);
    let rows = NEAR.map(|distance| format!("{distance},0,1\n")).concat();
    let text = format!("distance,radial,plus_minus\n{rows}");
    let radial = Measured::from_csv("made", &text, Units::MmMpa).unwrap();
    assert_eq!(radial.component, Component::Radial);
    case.measured = vec![radial];
    let truth = solve(&case, &changed(&case.job, &TRUTH), &AtomicBool::new(false)).unwrap();
    for (point, there) in case.measured[0].points.iter_mut().zip(&truth.agreements[0].points) {
        point.stress = there.computed.unwrap();
        assert!(point.stress < 0.0, "pressed along the path near the hole");
    }
    for (unknown, (_, truth)) in found(&case).unknowns.iter().zip(TRUTH) {
        assert!((unknown.value / truth - 1.0).abs() < 1e-5, "{} {truth}", unknown.value);
    }
}

#[test]
fn a_table_holds_one_stress() {
    let both = Measured::from_csv("", "distance,hoop,radial\n1,2,3\n", Units::MmMpa);
    assert!(both.unwrap_err().to_string().contains("one table holds one stress"));
}
