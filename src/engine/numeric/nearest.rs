//! The word probably meant by a misspelt one.

/// The choice most like `word`, or `None` when nothing is like it.
///
/// A choice that begins with `word` (or is the beginning of it) is alike whatever its
/// length, so that half a name finds the whole. Otherwise at most a third of the
/// letters may be wrong. Case is ignored; of equals the first one wins.
#[must_use]
pub fn nearest<'a>(word: &str, choices: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let word: Vec<char> = word.trim().to_lowercase().chars().collect();
    // Two letters begin too many words to mean one of them.
    let beginnings_count = word.len() >= 3;
    let mut best: Option<(usize, &str)> = None;
    for choice in choices {
        let letters: Vec<char> = choice.to_lowercase().chars().collect();
        let distance = edits(&word, &letters);
        let begins = beginnings_count && (letters.starts_with(&word) || word.starts_with(&letters));
        let allowed = word.len().max(letters.len()) / 3;
        if (begins || distance <= allowed) && best.is_none_or(|(least, _)| distance < least) {
            best = Some((distance, choice));
        }
    }
    best.map(|(_, choice)| choice)
}

/// Letters to insert, delete, replace, or swap with their neighbour to turn one word into the
/// other.
fn edits(from: &[char], to: &[char]) -> usize {
    let mut rows: Vec<Vec<usize>> = vec![(0..=to.len()).collect()];
    for (i, a) in from.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, b) in to.iter().enumerate() {
            let mut least =
                (rows[i][j] + usize::from(a != b)).min(rows[i][j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && from[i - 1] == *b && to[j - 1] == *a {
                least = least.min(rows[i - 1][j - 1] + 1);
            }
            row.push(least);
        }
        rows.push(row);
    }
    rows[from.len()][to.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_of_the_pen_finds_its_word() {
        let words = ["width", "height", "thickness"];
        assert_eq!(nearest("widht", words), Some("width"));
        assert_eq!(nearest("Thickness", words), Some("thickness"));
        assert_eq!(nearest("thick", words), Some("thickness"));
        assert_eq!(nearest("colour", words), None);
        assert_eq!(nearest("", words), None);
    }

    #[test]
    fn swapped_neighbours_are_one_edit() {
        let count = |a: &str, b: &str| {
            edits(&a.chars().collect::<Vec<_>>(), &b.chars().collect::<Vec<_>>())
        };
        assert_eq!(count("hoel", "hole"), 1);
        assert_eq!(count("", "abc"), 3);
        assert_eq!(count("kitten", "sitting"), 3);
    }
}
