//! Number, revision and date of a report: which paper it is.
//!
//! They are given by the user and never read from a clock, so that the same input makes the same bytes.

/// Longest number or revision, in characters: as much as a title block has room for.
const LONGEST: usize = 40;

/// Days of the months of a year that is no leap year.
const DAYS: [u32; 12] = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31];

/// Identity of a report. What is missing leaves a line to be written on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Record {
    /// Number of the report in the user's files.
    pub number: Option<String>,
    /// Its revision.
    pub revision: Option<String>,
    /// Its date, `YYYY-MM-DD`.
    pub date: Option<String>,
}

impl Record {
    /// Number, revision and date in a line; empty when none is given.
    #[must_use]
    pub(crate) fn line(&self) -> String {
        let number = self.number.as_ref().map(|number| format!("No. {number}"));
        let revision = self.revision.as_ref().map(|revision| format!("rev. {revision}"));
        [number, revision, self.date.clone()].into_iter().flatten().collect::<Vec<_>>().join(" · ")
    }
}

/// A number or a revision.
///
/// # Errors
///
/// A sentence about a text that is empty, too long, or has signs that do not print.
pub fn label(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() {
        return Err("it is empty".to_owned());
    }
    if text.chars().count() > LONGEST {
        return Err(format!("it has more than {LONGEST} characters"));
    }
    if text.chars().any(char::is_control) {
        return Err("it has signs that do not print".to_owned());
    }
    Ok(text.to_owned())
}

/// A date of the calendar, as ISO 8601 writes it: `2031-04-09`.
///
/// # Errors
///
/// A sentence about a text that is none.
pub fn date(text: &str) -> Result<String, String> {
    let wrong = || "write a date as year-month-day, such as 2031-04-09".to_owned();
    let parts: Vec<&str> = text.split('-').collect();
    let [year, month, day] = parts[..] else { return Err(wrong()) };
    let digits = |part: &str, count: usize| {
        part.len() == count && part.bytes().all(|byte| byte.is_ascii_digit())
    };
    if !(digits(year, 4) && digits(month, 2) && digits(day, 2)) {
        return Err(wrong());
    }
    let read = |part: &str| part.parse::<u32>().map_err(|_| wrong());
    let (year, month, day) = (read(year)?, read(month)?, read(day)?);
    let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    let index = (month as usize).checked_sub(1).filter(|&index| index < DAYS.len());
    let Some(index) = index else { return Err(format!("there is no month {month}")) };
    let last = DAYS[index] + u32::from(leap && month == 2);
    if day == 0 || day > last {
        return Err(format!("that month has the days 1 to {last}"));
    }
    Ok(text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_those_of_the_calendar() {
        // Gregorian rule: 2000 and 2024 are leap years, 1900 and 2023 are not.
        for good in ["2024-02-29", "2000-02-29", "1999-12-31", "2026-04-30"] {
            assert_eq!(date(good).as_deref(), Ok(good));
        }
        for bad in
            ["2023-02-29", "1900-02-29", "2026-04-31", "2026-13-01", "2026-00-01", "2026-01-00"]
        {
            assert!(date(bad).is_err(), "{bad}");
        }
        for odd in ["", "today", "26-01-01", "2026-1-1", "2026-01-01T00:00", "+026-01-01"] {
            assert!(date(odd).is_err(), "{odd}");
        }
    }

    #[test]
    fn a_label_prints_on_one_line() {
        assert_eq!(label(" HP-104/B ").as_deref(), Ok("HP-104/B"));
        assert!(label("  ").is_err() && label("a\nb").is_err() && label(&"x".repeat(41)).is_err());
    }
}
