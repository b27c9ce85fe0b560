//! Tables of measured numbers: CSV with a head, columns by name, mistakes with line and column.
//!
//! Cells are parted by commas, semicolons or tabs, whichever the head has most of. Lines that are empty or
//! begin with `#` are skipped. Other columns may stand there and are not read.

use std::path::Path;

use csv::{ReaderBuilder, StringRecord};

use crate::case::complaint::{Complaint, Kind};
use crate::case::table::quoted;
use crate::numeric::nearest::nearest;

/// Largest table, bytes.
const LARGEST: u64 = 1 << 25;
/// Most rows.
const MOST_ROWS: usize = 200_000;

/// A table of text, its head apart.
pub(super) struct Columns {
    file: String,
    names: Vec<String>,
    /// Line of the head.
    head: usize,
    rows: Vec<(usize, StringRecord)>,
}

impl Columns {
    /// Reads the table at `path`.
    pub(super) fn read(path: &Path) -> Result<Self, Complaint> {
        let file = path.display().to_string();
        let refuse = |problem: &str, remedy: &str| Complaint::whole_file(&file, problem, remedy);
        let found = std::fs::metadata(path);
        if !found.as_ref().is_ok_and(std::fs::Metadata::is_file) {
            return Err(refuse("there is no such file", "tables are looked for beside the file"));
        }
        if found.is_ok_and(|found| found.len() > LARGEST) {
            return Err(refuse("the table is larger than 32 MiB", "is this another file?"));
        }
        let text = std::fs::read(path).ok().and_then(|bytes| String::from_utf8(bytes).ok());
        let text = text.ok_or_else(|| refuse("it is not UTF-8 text", "save it as UTF-8"))?;
        Self::parse(&file, &text)
    }

    /// Reads the text of a table that complaints call `file`.
    pub(super) fn parse(file: &str, text: &str) -> Result<Self, Complaint> {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let head = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'));
        let head = head.ok_or_else(|| {
            Complaint::whole_file(file, "the table is empty", "a head of names, then a row a point")
        })?;
        let count = |sign: char| head.matches(sign).count();
        let delimiter = [',', ';', '\t'].into_iter().rev().max_by_key(|sign| count(*sign));
        let mut reader = ReaderBuilder::new()
            .delimiter(delimiter.and_then(|sign| u8::try_from(sign).ok()).unwrap_or(b','))
            .comment(Some(b'#'))
            .flexible(true)
            .has_headers(false)
            .trim(csv::Trim::All)
            .from_reader(text.as_bytes());
        let mut rows = Vec::new();
        for record in reader.records() {
            let record = record.map_err(|error| {
                let line = error.position().map_or(1, csv::Position::line);
                let problem = format!("line {line} is no row of a table");
                Complaint::whole_file(file, problem, "check its quotes")
            })?;
            let line = record.position().map_or(1, csv::Position::line);
            // Lines beyond memory cannot be.
            let line = usize::try_from(line).unwrap_or(usize::MAX);
            if record.iter().any(|cell| !cell.is_empty()) {
                rows.push((line, record));
            }
            if rows.len() > MOST_ROWS {
                let problem = format!("the table has more than {MOST_ROWS} rows");
                return Err(Complaint::whole_file(file, problem, "keep every tenth of them"));
            }
        }
        if rows.len() < 2 {
            let problem = "the table has no row below its head";
            return Err(Complaint::whole_file(
                file,
                problem,
                "a head of names, then a row a point",
            ));
        }
        let (head_line, head) = rows.remove(0);
        let names: Vec<String> = head.iter().map(str::to_owned).collect();
        let table = Self { file: file.to_owned(), names, head: head_line, rows };
        for (k, name) in table.names.iter().enumerate() {
            if !name.is_empty() && table.names[..k].contains(name) {
                let problem =
                    format!("the column `{}` stands twice in the head", name.escape_debug());
                return Err(table.complain((head_line, k), name, problem, "rename one of them"));
            }
        }
        Ok(table)
    }

    /// A complaint about a cell; its column is that of the table, from 1.
    fn complain(
        &self,
        (line, column): (usize, usize),
        name: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        Complaint {
            file: self.file.clone(),
            place: Some((line, column + 1)),
            key: Some(name.into()),
            kind: Kind::WrongType,
            problem: problem.into(),
            remedy: remedy.into(),
        }
    }

    /// Where a column stands.
    fn place(&self, name: &str) -> Result<usize, Complaint> {
        self.names.iter().position(|known| known == name).ok_or_else(|| {
            let known: Vec<&str> = self.names.iter().map(String::as_str).collect();
            let remedy = match nearest(name, known.iter().copied()) {
                Some(meant) => format!("is it the one called `{}`?", meant.escape_debug()),
                None => format!("its columns are {}", quoted(&known)),
            };
            self.complain((self.head, 0), name, format!("there is no column `{name}`"), remedy)
        })
    }

    /// The numbers of a column within `limits`; `None` where a cell is empty, which is allowed when
    /// `holes` are.
    pub(super) fn numbers(
        &self,
        name: &str,
        limits: [f64; 2],
        holes: bool,
    ) -> Result<Vec<Option<f64>>, Complaint> {
        let at = self.place(name)?;
        let one = |(line, row): &(usize, StringRecord)| {
            let cell = row.get(at).unwrap_or("");
            let complain = |problem: String, remedy: &str| {
                Err(self.complain((*line, at), name, problem, remedy))
            };
            if cell.is_empty() {
                let problem = format!("the cell in column `{name}` is empty");
                return if holes {
                    Ok(None)
                } else {
                    complain(problem, "write a number, or leave the row out")
                };
            }
            let shown: String = cell.escape_debug().take(30).collect();
            match cell.parse::<f64>() {
                Ok(value) if value.is_finite() && value >= limits[0] && value <= limits[1] => {
                    Ok(Some(value))
                }
                Ok(value) if value.is_finite() => {
                    let remedy = "check its unit and its decimal point";
                    complain(
                        format!(
                            "`{shown}` in column `{name}` lies outside {} to {}",
                            crate::case::border::plain(limits[0]),
                            crate::case::border::plain(limits[1])
                        ),
                        remedy,
                    )
                }
                _ if cell.replace(',', ".").parse::<f64>().is_ok() => complain(
                    format!("`{shown}` in column `{name}` has a comma in the number"),
                    "write decimals with a point, as 412.5",
                ),
                _ => complain(
                    format!("`{shown}` in column `{name}` is no number"),
                    "write a number such as -412.5, without its unit",
                ),
            }
        };
        self.rows.iter().map(one).collect()
    }

    /// Whether there is a column called `name`.
    pub(super) fn has(&self, name: &str) -> bool {
        self.names.iter().any(|known| known == name)
    }

    /// The head, names in their order.
    pub(super) fn names(&self) -> &[String] {
        &self.names
    }

    /// The texts of a column, empty where a cell is.
    pub(super) fn texts(&self, name: &str) -> Result<Vec<String>, Complaint> {
        let at = self.place(name)?;
        Ok(self.rows.iter().map(|(_, row)| row.get(at).unwrap_or("").to_owned()).collect())
    }

    /// The numbers of a column without an empty cell.
    pub(super) fn all_numbers(&self, name: &str, limits: [f64; 2]) -> Result<Vec<f64>, Complaint> {
        Ok(self.numbers(name, limits, false)?.into_iter().flatten().collect())
    }

    /// The line of row `row`, counted from 0.
    pub(super) fn line(&self, row: usize) -> usize {
        self.rows[row].0
    }

    /// A complaint about the first row that has more cells than the head has names.
    pub(super) fn too_long(&self) -> Option<Complaint> {
        let (line, row) = self.rows.iter().find(|(_, row)| row.len() > self.names.len())?;
        let (cells, names) = (row.len(), self.names.len());
        let problem = format!("this row has {cells} cells and the head {names} names");
        let remedy = "write decimals with a point, as 5.71, or part the cells by semicolons";
        Some(self.complain((*line, names), "", problem, remedy))
    }

    /// A complaint about the name of a column.
    pub(super) fn about_head(
        &self,
        name: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        let column = self.names.iter().position(|known| known == name).unwrap_or(0);
        self.complain((self.head, column), name, problem, remedy)
    }

    /// A complaint about row `row`, counted from 0.
    pub(super) fn about(
        &self,
        row: usize,
        name: &str,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Complaint {
        let column = self.names.iter().position(|known| known == name).unwrap_or(0);
        self.complain((self.rows[row].0, column), name, problem, remedy)
    }
}
