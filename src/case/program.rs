//! How a load goes: `cycles`, `load_ratio`, `blocks`, `spectrum`.

use crate::case::beside::read_beside;
use crate::case::border::plain;
use crate::case::complaint::{Complaint, Kind};
use crate::case::keys::row::names;
use crate::case::keys::stage_keys;
use crate::case::table::{Table, Valued};
use crate::process::program::{Block, Program};

/// Most cycles of a load stage; each costs two ramps of increments.
const MOST_CYCLES: usize = 1000;

/// Largest share of the stated load, either way; more is a slip of the decimal point.
const LARGEST_SHARE: f64 = 10.0;

/// Largest spectrum file, MiB; the most reversals a stage may have need a tenth of it.
const LARGEST_MIB: u64 = 1;

/// Most characters of a word that a message quotes.
const LONGEST_WORD: usize = 40;

/// How a load goes.
pub(super) enum Course {
    /// From nothing to full and back, so often.
    OnAndOff(usize),
    /// Between highest and lowest loads.
    Service(Program),
}

/// Reads how the load of a stage goes.
pub(super) fn read_course(table: &Table<'_>) -> Result<Course, Complaint> {
    let styles: Vec<&str> = ["cycles", "load_ratio", "blocks", "spectrum"]
        .into_iter()
        .filter(|k| table.has(k))
        .collect();
    let clash = |key: &str, with: &str| {
        let problem = format!("`{key}` and `{with}` both say how the load goes");
        let remedy = "write `cycles`, perhaps with `load_ratio`, or `blocks`, or `spectrum`";
        table.stray(key, problem, remedy)
    };
    match styles.as_slice() {
        [_] | [] | ["cycles", "load_ratio"] => {}
        [first, second, ..] => return Err(clash(second, first)),
    }
    if table.has("repeats") && !table.has("spectrum") {
        let problem = "`repeats` goes with `spectrum`";
        return Err(table.stray("repeats", problem, "write `cycles` for cycles of one size"));
    }
    if table.has("blocks") {
        return read_blocks(table).map(Course::Service);
    }
    if let Some(name) = table.text("spectrum")? {
        return read_spectrum(table, &name).map(Course::Service);
    }
    let cycles =
        read_count(table, "cycles", MOST_CYCLES, "each cycle is one loading and one unloading")?;
    let Some(ratio) = table.number("load_ratio")? else {
        return Ok(Course::OnAndOff(cycles.unwrap_or(1)));
    };
    check_ratio(table, &ratio)?;
    let block = Block { highest: 1.0, lowest: ratio.value, cycles: cycles.unwrap_or(1) };
    Ok(Course::Service(Program::Blocks(vec![block])))
}

fn read_count(
    table: &Table<'_>,
    key: &'static str,
    most: usize,
    remedy: &str,
) -> Result<Option<usize>, Complaint> {
    match table.count(key)? {
        None => Ok(None),
        Some(Valued { value, .. }) if (1..=most).contains(&value) => Ok(Some(value)),
        Some(count) => {
            let problem = format!("`{key}` is {}, outside 1 to {most}", count.value);
            Err(table.about(&count, Kind::OutOfRange, problem, remedy))
        }
    }
}

fn read_blocks(stage: &Table<'_>) -> Result<Program, Complaint> {
    let example = "for example `blocks = [{ highest = 1.0, lowest = 0.1, cycles = 3 }]`";
    let tables = stage.tables("blocks", &format!("block of {}, number", stage.name), example)?;
    let mut blocks = Vec::with_capacity(tables.len());
    let mut total = 0;
    for table in &tables {
        table.only(&names(stage_keys::BLOCK))?;
        let [highest, lowest] = read_ends(table, example)?;
        let remedy = "how often the block goes up and down";
        let cycles = read_count(table, "cycles", MOST_CYCLES, remedy)?.unwrap_or(1);
        total += cycles;
        blocks.push(Block { highest, lowest, cycles });
    }
    if blocks.is_empty() {
        return Err(stage.stray("blocks", "`blocks` lists no block", example));
    }
    if total > MOST_CYCLES {
        let problem = format!("the blocks have {total} cycles, more than {MOST_CYCLES}");
        let remedy = "the edge settles within tens of cycles: shorten the blocks";
        return Err(stage.stray("blocks", problem, remedy));
    }
    Ok(Program::Blocks(blocks))
}

/// Refuses a load ratio that no load has.
pub(super) fn check_ratio(table: &Table<'_>, ratio: &Valued<f64>) -> Result<(), Complaint> {
    if !(-LARGEST_SHARE..1.0).contains(&ratio.value) {
        let problem = format!(
            "`load_ratio` is {}, but must lie between -{LARGEST_SHARE} and 1, 1 excluded",
            plain(ratio.value)
        );
        let remedy = "lowest over highest load: 0 takes the load off, below 0 turns it round";
        return Err(table.about(ratio, Kind::OutOfRange, problem, remedy));
    }
    Ok(())
}

/// Highest and lowest load of a block, as shares of the stated one; `example` shows a block.
pub(super) fn read_ends(table: &Table<'_>, example: &str) -> Result<[f64; 2], Complaint> {
    let highest = read_share(table, "highest", example)?;
    let lowest = read_share(table, "lowest", example)?;
    if highest.value <= lowest.value {
        let problem = format!(
            "`highest` is {}, not above `lowest`, {}",
            plain(highest.value),
            plain(lowest.value)
        );
        let remedy = "both are shares of the stated load; compression is below 0";
        return Err(table.about(&highest, Kind::Conflict, problem, remedy));
    }
    Ok([highest.value, lowest.value])
}

fn read_share(
    table: &Table<'_>,
    key: &'static str,
    example: &str,
) -> Result<Valued<f64>, Complaint> {
    let share = table.number(key)?.ok_or_else(|| table.missing(key, example))?;
    if share.value.abs() > LARGEST_SHARE {
        let problem =
            format!("`{key}` is {}, beyond {LARGEST_SHARE} times the load", plain(share.value));
        let remedy = "loads are shares of the one stated: 1 is all of it";
        return Err(table.about(&share, Kind::OutOfRange, problem, remedy));
    }
    Ok(share)
}

fn read_spectrum(table: &Table<'_>, name: &Valued<&str>) -> Result<Program, Complaint> {
    let shown = name.value.escape_debug().to_string();
    let refuse =
        |kind: Kind, problem: String, remedy: &str| table.about(name, kind, problem, remedy);
    let remedy = "one turning point a line, as a share of the load; # begins a remark";
    let text = read_beside(table, name, LARGEST_MIB)?;
    let mut loads = Vec::new();
    for (index, line) in text.lines().enumerate() {
        let word = line.split('#').next().unwrap_or_default().trim();
        if word.is_empty() {
            continue;
        }
        let number = word.parse::<f64>().ok().filter(|number| number.is_finite());
        let Some(load) = number else {
            let problem =
                format!("`{shown}` line {}: `{}` is not a number", index + 1, start_of(word));
            return Err(refuse(Kind::WrongType, problem, remedy));
        };
        if load.abs() > LARGEST_SHARE {
            let problem = format!(
                "`{shown}` line {}: {} is beyond {LARGEST_SHARE} times the load",
                index + 1,
                plain(load)
            );
            return Err(refuse(Kind::OutOfRange, problem, remedy));
        }
        loads.push(load);
    }
    let turns = turning_points(&loads);
    if turns.len() < 2 {
        let problem = format!("`{shown}` has no two different values: nothing turns");
        return Err(refuse(Kind::OutOfRange, problem, remedy));
    }
    let most = 2 * MOST_CYCLES;
    if turns.len() > most {
        let problem = format!("`{shown}` has {} turning points, more than {most}", turns.len());
        let remedy = "leave out the small ones: they do not yield the metal";
        return Err(refuse(Kind::OutOfRange, problem, remedy));
    }
    let remedy = format!("with {} turning points in each repeat", turns.len());
    let repeats = read_count(table, "repeats", most / turns.len(), &remedy)?.unwrap_or(1);
    Ok(Program::Spectrum { turns, repeats })
}

/// A word of a file, in part when it is long, for a message.
fn start_of(word: &str) -> String {
    let start: String = word.chars().take(LONGEST_WORD).collect();
    let more = if start.len() < word.len() { "…" } else { "" };
    format!("{}{more}", start.escape_debug())
}

/// The values at which a history turns, its first and last among them.
fn turning_points(history: &[f64]) -> Vec<f64> {
    let mut turns: Vec<f64> = Vec::new();
    for &value in history {
        match turns.as_slice() {
            [.., last] if last.total_cmp(&value).is_eq() => {}
            [.., before, last] if (last - before) * (value - last) > 0.0 => {
                let end = turns.len() - 1;
                turns[end] = value;
            }
            _ => turns.push(value),
        }
    }
    turns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_passed_through_are_no_turning_points() {
        let turns = turning_points(&[0.0, 0.5, 0.8, 0.8, -0.2, -0.1, 1.0]);
        let expected = [0.0, 0.8, -0.2, 1.0];
        assert!(turns.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-15), "{turns:?}");
        assert_eq!(turns.len(), 4);
    }
}
