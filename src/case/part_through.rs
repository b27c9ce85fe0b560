//! Part-through cracks of `[life]`, and the file with the residual stress over distance and depth.
//!
//! The file is CSV with the columns `depth`, `distance` and `hoop`, as `hoopset section` writes it; others are not
//! read. Where it has the columns `stage` or `hole`, the rows of the last stage and of the first hole count. Rows
//! whose depth is no number, such as those of the mean, are passed over.

use crate::case::beside::read_beside;
use crate::case::border::{Border, unknown_word};
use crate::case::complaint::{Complaint, Kind};
use crate::case::table::{Table, Valued};
use crate::fatigue::front::field::SectionField;
use crate::numeric::profile::Profile;

/// Where a part-through crack lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PartThroughCrack {
    /// A quarter ellipse at the corner of a hole.
    Corner,
    /// A half ellipse in the middle of the bore.
    Bore,
    /// A quarter ellipse at the corner of a plate edge.
    PlateEdge,
}

/// The words of the case file.
const NAMES: [(&str, PartThroughCrack); 3] = [
    ("corner", PartThroughCrack::Corner),
    ("bore", PartThroughCrack::Bore),
    ("plate edge", PartThroughCrack::PlateEdge),
];

/// Largest file, MiB.
const LARGEST_MIB: u64 = 64;

/// Part-through cracks that `[life]` asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct PartThrough {
    /// Which are followed; none when empty.
    pub cracks: Vec<PartThroughCrack>,
    /// Residual hoop stress over distance and depth, and the name of its file.
    pub field: Option<(String, SectionField)>,
}

/// Reads the keys.
pub(super) fn read(table: &Table<'_>, border: Border) -> Result<PartThrough, Complaint> {
    let example = "for example `part_through = [\"corner\", \"bore\"]`";
    let cracks = match table.texts("part_through", example)? {
        None => vec![PartThroughCrack::Corner],
        Some(words) => words.iter().map(|word| crack(table, word)).collect::<Result<_, _>>()?,
    };
    let field = table.text("section_field")?.map(|name| field(table, &name, border)).transpose()?;
    Ok(PartThrough { cracks, field })
}

fn crack(table: &Table<'_>, word: &Valued<&str>) -> Result<PartThroughCrack, Complaint> {
    let found = NAMES.iter().find(|(name, _)| *name == word.value);
    let names = NAMES.map(|(name, _)| name);
    found
        .map(|(_, crack)| *crack)
        .ok_or_else(|| unknown_word(table, word, "part-through crack", &names))
}

fn field(
    table: &Table<'_>,
    name: &Valued<&str>,
    border: Border,
) -> Result<(String, SectionField), Complaint> {
    let refuse =
        |problem: String, remedy: &str| table.about(name, Kind::Unreadable, problem, remedy);
    let shown = name.value.escape_debug().to_string();
    let text = read_beside(table, name, LARGEST_MIB)?;
    let remedy = "it needs the columns depth, distance and hoop, numbers in them, and at least two depths \
                  with two distances each: the `section.csv` of hoopset section";
    let field =
        parse(&text, border).map_err(|problem| refuse(format!("`{shown}`: {problem}"), remedy))?;
    Ok((name.value.to_owned(), field))
}

/// Distances and stresses at one depth, mm and MPa.
struct Level {
    depth: f64,
    distances: Vec<f64>,
    hoop: Vec<f64>,
}

fn parse(text: &str, border: Border) -> Result<SectionField, String> {
    let mut lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
    let (_, head) = lines.next().ok_or("the file is empty")?;
    let names: Vec<&str> = head.split(',').map(str::trim).collect();
    let column = |wanted: &str| names.iter().position(|name| *name == wanted);
    let needed = |wanted: &str| column(wanted).ok_or(format!("there is no column `{wanted}`"));
    let columns = [needed("depth")?, needed("distance")?, needed("hoop")?];
    let (stage, hole) = (column("stage"), column("hole"));
    let (mut all, mut now): (Vec<Level>, Option<(String, String)>) = (Vec::new(), None);
    for (number, line) in lines {
        let cells: Vec<&str> = line.split(',').map(str::trim).collect();
        let text = |at: Option<usize>| at.and_then(|at| cells.get(at)).copied().unwrap_or("");
        let Ok(depth) = text(Some(columns[0])).parse::<f64>() else { continue };
        let [distance, hoop] = [columns[1], columns[2]].map(|at| text(Some(at)).parse::<f64>());
        let (Ok(distance), Ok(hoop)) = (distance, hoop) else {
            return Err(format!("line {} has no number for distance or hoop", number + 1));
        };
        if ![depth, distance, hoop].iter().all(|value| value.is_finite()) {
            return Err(format!("line {} holds a number that is not finite", number + 1));
        }
        let own = (text(stage).to_owned(), text(hole).to_owned());
        match &now {
            Some((stage, _)) if *stage != own.0 => {
                all.clear();
                now = Some(own);
            }
            Some((_, hole)) if *hole != own.1 => continue,
            Some(_) => {}
            None => now = Some(own),
        }
        let [depth, distance] = [depth, distance].map(|length| border.length(length));
        let hoop = border.stress(hoop);
        match all.iter_mut().find(|one| one.depth.total_cmp(&depth).is_eq()) {
            Some(one) => {
                if one.distances.last().is_some_and(|last| *last >= distance) {
                    return Err(format!("line {}: distances do not rise", number + 1));
                }
                one.distances.push(distance);
                one.hoop.push(hoop);
            }
            None => all.push(Level { depth, distances: vec![distance], hoop: vec![hoop] }),
        }
    }
    grid(all)
}

/// One grid from depths with distances of their own.
fn grid(mut all: Vec<Level>) -> Result<SectionField, String> {
    all.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    let end =
        all.iter().filter_map(|one| one.distances.last()).copied().fold(f64::INFINITY, f64::min);
    let mut distances: Vec<f64> =
        all.iter().flat_map(|one| one.distances.iter().copied()).filter(|x| *x <= end).collect();
    distances.sort_by(f64::total_cmp);
    distances.dedup();
    let depths = all.iter().map(|one| one.depth).collect();
    let hoop = all
        .into_iter()
        .map(|one| Profile::new(one.distances, one.hoop))
        .flat_map(|at| distances.iter().map(move |x| at.at(*x).unwrap_or(0.0)).collect::<Vec<_>>())
        .collect();
    SectionField::new(distances, depths, hoop)
        .ok_or_else(|| "there are not two depths with two distances each".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Units;

    const ROWS: &str = "stage,hole,depth,distance,hoop\n\
        1-draw,A,0,0,-9\n\
        2-ream,A,0,0,-100\n2-ream,A,0,2,-20\n\
        2-ream,A,6,0,-300\n2-ream,A,6,1,-200\n2-ream,A,6,3,0\n\
        2-ream,A,mean,0,-1\n2-ream,B,0,0,-7\n";

    fn parsed(text: &str) -> Result<SectionField, String> {
        parse(text, Border { units: Units::MmMpa })
    }

    #[test]
    fn the_last_stage_of_the_first_hole_is_read() {
        let field = parsed(ROWS).expect("a field");
        assert_eq!(field.depths().len(), 2);
        // By hand: at 1 mm -60 at the face and -200 in the depth, half way -130.
        assert!((field.at(1.0, 3.0) + 130.0).abs() < 1e-12);
        // Beyond the shorter of the paths there is nothing.
        assert!(field.at(2.5, 0.0).abs() < 1e-12);
    }

    #[test]
    fn a_file_that_is_no_field_is_named() {
        assert!(parsed("").is_err_and(|problem| problem.contains("empty")));
        assert!(parsed("depth,hoop\n0,1\n").is_err_and(|problem| problem.contains("`distance`")));
        let word = parsed("depth,distance,hoop\n0,0,x\n");
        assert!(word.is_err_and(|problem| problem.contains("line 2")));
        let falling = parsed("depth,distance,hoop\n0,1,5\n0,1,6\n");
        assert!(falling.is_err_and(|problem| problem.contains("line 3")));
        assert!(parsed("depth,distance,hoop\n0,0,5\n0,1,6\n").is_err());
    }
}
