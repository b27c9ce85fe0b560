//! The numbers of the nominal expansion with what mesh, hardening and idealisation leave open.

use crate::case::sheet::Sheet;
use crate::report::band;
use crate::report::show::{NOTHING, Show};
use crate::report::toolsheet::rows::{Rows, cells, number, unit};
use crate::result::accuracy::edge_error;
use crate::study::toolsheet::{Assumption, Finished, OUTPUTS, Output};

/// A row for every number.
pub(super) fn rows(sheet: &Sheet, finished: &Finished) -> Rows {
    let show = Show { units: sheet.units };
    let nominal = &finished.corners[1].found;
    let mut rows = vec![cells([
        "",
        "nominal",
        "mesh, increments",
        "hardening, isotropic to kinematic",
        "idealisations",
        "read as",
    ])];
    for output in OUTPUTS {
        let own = nominal.get(output);
        let print = |value: f64| number(show, output, Some(value));
        let others = |assumption: Assumption| -> Vec<f64> {
            let same = finished.beside.iter().filter(|beside| beside.assumption == assumption);
            same.filter_map(|beside| beside.found.get(output)).collect()
        };
        let mesh = edge_error(&sheet.numerics, sheet.material.yield_stress)
            .filter(|_| output == Output::EdgeHoop);
        let laws = others(Assumption::Hardening);
        let kinds: Vec<f64> = others(Assumption::Idealisation).into_iter().chain(own).collect();
        let ends = own.zip(mesh).map(|(value, error)| [value - error, value + error]);
        let all: Vec<f64> =
            laws.iter().chain(&kinds).copied().chain(ends.into_iter().flatten()).collect();
        let range =
            |values: &[f64]| band::range(values, print).unwrap_or_else(|| NOTHING.to_owned());
        rows.push(vec![
            format!("{} {}", output.words(), unit(show, output)),
            number(show, output, own),
            mesh.map_or_else(|| NOTHING.to_owned(), |error| format!("±{}", show.stress(error))),
            range(&laws),
            range(&kinds),
            range(&all),
        ]);
    }
    rows
}

/// The columns in words.
pub(super) fn words(sheet: &Sheet) -> String {
    format!(
        "Mesh and increments: {}; of other numbers not computed. Hardening: the same first-pull curve, all isotropic \
         and all kinematic. Idealisations: lowest and highest of the three. Read as: from the lowest to the highest of \
         all of these. The limits above are for {}; the tolerances of tools and holes come on top of this band.",
        band::edge_words(&sheet.numerics, sheet.material.yield_stress, sheet.units),
        sheet.idealisation.name()
    )
}
