//! A strip with a central hole under tension.

use hoopset::material::idealisation::Idealisation;
use hoopset::theory::strip_hole::STRIP_HOLE;

use crate::common::metals::elastic;
use crate::common::plates::{at_full_load, loaded, path, pull, rectangle};
use crate::{Series, publish};

const LEVELS: [f64; 3] = [0.5, 1.0, 2.0];

pub(crate) fn strip() {
    let mut series = Vec::new();
    for row in STRIP_HOLE.iter().filter(|row| [0.1, 0.3, 0.5].contains(&row.ratio)) {
        let (width, height) = (2.0 / row.ratio, 8.0 / row.ratio);
        let errors = LEVELS.map(|fineness| {
            let plate = rectangle(width, height, &[[0.5 * width, 0.5 * height, 1.0]]);
            let load = pull(["top", "bottom"], 1.0);
            let job = loaded(plate, elastic(72_000.0, 0.33), Idealisation::PlaneStress, load);
            let hoop = path(&at_full_load(job, fineness), "A", 0.0).points[0].stress.hoop;
            println!("strip {} at {fineness}: {hoop:.5} for {}", row.ratio, row.across);
            (hoop / row.across - 1.0).abs()
        });
        series.push(Series::new(
            &format!("peak stress at 2a/width = {}", row.ratio),
            errors.to_vec(),
        ));
    }
    publish("strip-with-hole", &LEVELS, &series);
}
