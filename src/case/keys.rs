//! Every key of the case file, the sheet and the study: the one list that the readers check against, that the
//! tables of the documents are printed from, and that the schemas for editors are made of.
//!
//! A reader takes the keys of its table from [`Section::names`](row::Section::names); a key that is not
//! listed is rejected. [`crate::case::schema`] makes JSON Schema of the list, [`markdown`] the tables in
//! `docs/`.

pub(in crate::case) mod case_file;
pub(in crate::case) mod life_keys;
pub(in crate::case) mod metal_file;
pub(in crate::case) mod part_keys;
pub mod row;
pub(in crate::case) mod section_file;
pub(in crate::case) mod sheet_file;
pub(in crate::case) mod shop_file;
pub(in crate::case) mod stage_keys;
pub(in crate::case) mod study_file;

pub use crate::case::keys::case_file::CASE_FILE;
pub use crate::case::keys::metal_file::METAL_FILE;
use crate::case::keys::row::Section;
pub use crate::case::keys::section_file::SECTION_FILE;
pub use crate::case::keys::sheet_file::SHEET_FILE;
pub use crate::case::keys::shop_file::SHOP_FILE;
pub use crate::case::keys::study_file::{MEASURES, STUDY_FILE};

/// The sections of a file as a Markdown table.
#[must_use]
pub fn markdown(file: &[Section]) -> String {
    let head = ["| table | key | meaning | default |\n", "|---|---|---|---|\n"].map(str::to_owned);
    let rows = file.iter().flat_map(|section| {
        section.rows.iter().enumerate().map(|(k, row)| {
            let names: Vec<String> = row.keys.iter().map(|key| format!("`{}`", key.name)).collect();
            let heading = if k == 0 { section.heading } else { "" };
            let cells = [heading, &names.join(", "), row.meaning, row.default];
            let filled = cells
                .map(|cell| if cell.is_empty() { " |".to_owned() } else { format!(" {cell} |") });
            format!("|{}\n", filled.concat())
        })
    });
    head.into_iter().chain(rows).collect()
}

/// The keys at the top of a file: those of its own and the names of its tables, in their order.
pub(in crate::case) fn top_names(file: &[Section]) -> Vec<&'static str> {
    let mut names = Vec::new();
    for section in file {
        let own = if section.table.is_empty() { section.names() } else { vec![section.table] };
        for name in own {
            if !names.contains(&name) {
                names.push(name);
            }
        }
    }
    names
}

/// The keys of all sections of one table.
pub(in crate::case) fn table_names(file: &[Section], table: &str) -> Vec<&'static str> {
    file.iter().filter(|section| section.table == table).flat_map(Section::names).collect()
}

/// The keys at the top of a sheet file.
pub(in crate::case) fn sheet_names() -> Vec<&'static str> {
    top_names(&sheet_file())
}

/// All sections of a sheet: those it shares with a case file, then its own.
#[must_use]
pub(crate) fn sheet_file() -> Vec<Section> {
    let shared = CASE_FILE.iter().filter(|section| SHARED.contains(&section.table));
    shared.chain(&SHEET_FILE).copied().collect()
}

/// The keys at the top of a section file.
pub(in crate::case) fn section_names() -> Vec<&'static str> {
    top_names(&section_file())
}

/// All sections of a section file: those it shares with a case file, then its own.
#[must_use]
pub(crate) fn section_file() -> Vec<Section> {
    let shared = CASE_FILE.iter().filter(|section| IN_SECTION.contains(&section.table));
    shared.chain(&SECTION_FILE).copied().collect()
}

/// Tables that a section file shares with a case file; the empty name is the top.
const IN_SECTION: [&str; 6] = ["", "material", "numerics", "measured", "reading", "unknown"];

/// Tables that a sheet shares with a case file; the empty name is the top.
const SHARED: [&str; 5] = ["", "plate", "cutout", "material", "numerics"];
