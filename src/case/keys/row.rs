//! A key of a file, and how keys stand together in tables.

/// A value that a key takes.
#[derive(Clone, Copy, Debug)]
pub enum Value {
    /// Text of any kind: a name, a file.
    Text,
    /// One of these words.
    Word(&'static [&'static str]),
    /// A finite number.
    Number,
    /// A number within these limits, both included.
    Within([f64; 2]),
    /// A number above zero.
    Positive,
    /// A number of zero or more.
    NotNegative,
    /// A whole number within these limits, both included.
    Whole([u64; 2]),
    /// `true` or `false`.
    Switch,
    /// `[x, y]`.
    Pair,
    /// A list of numbers.
    Numbers,
    /// A list of pairs of numbers.
    Pairs,
    /// A list of texts.
    Texts,
    /// A number, a text or a switch.
    Scalar,
    /// A list of numbers, texts or switches.
    Scalars,
    /// A table with these keys.
    Table(&'static [Row]),
    /// A list of tables with these keys.
    Tables(&'static [Row]),
}

/// A key and its value.
#[derive(Clone, Copy, Debug)]
pub struct Key {
    /// Its name.
    pub name: &'static str,
    /// The value it takes.
    pub value: Value,
}

/// Keys that belong together, as one row of a table.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// The keys.
    pub keys: &'static [Key],
    /// Their meaning, in Markdown.
    pub meaning: &'static str,
    /// The value when they are left out, in Markdown; empty where there is none.
    pub default: &'static str,
}

/// Keys under one heading of a file.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// The heading as the documents write it, e.g. `` `[[stage]]` ream ``.
    pub heading: &'static str,
    /// The key of the table; empty for the top of the file.
    pub table: &'static str,
    /// Whether the table may stand several times, `[[table]]`.
    pub repeated: bool,
    /// Its rows.
    pub rows: &'static [Row],
}

impl Section {
    /// The names of all keys, in the order of the rows.
    #[must_use]
    pub fn names(&self) -> Vec<&'static str> {
        names(self.rows)
    }
}

/// The names of all keys of `rows`, in order.
pub(in crate::case) fn names(rows: &[Row]) -> Vec<&'static str> {
    rows.iter().flat_map(|row| row.keys).map(|key| key.name).collect()
}

/// A row of one key.
pub(super) const fn row(keys: &'static [Key], meaning: &'static str, default: &'static str) -> Row {
    Row { keys, meaning, default }
}

/// A key.
pub(super) const fn key(name: &'static str, value: Value) -> Key {
    Key { name, value }
}
