//! Arrays of numbers under one head, as they stand in memory.

use serde_json::{Value, json};

/// Arrays under one head.
pub(super) struct Parcel {
    bytes: Vec<u8>,
    list: Vec<Value>,
}

impl Parcel {
    pub(super) fn new() -> Self {
        Self { bytes: Vec::new(), list: Vec::new() }
    }

    fn add<const N: usize>(
        &mut self,
        name: &str,
        kind: &str,
        values: impl Iterator<Item = [u8; N]>,
    ) {
        self.bytes.resize(self.bytes.len().next_multiple_of(8), 0);
        let at = self.bytes.len();
        self.bytes.extend(values.flatten());
        let length = (self.bytes.len() - at) / N;
        self.list.push(json!({ "name": name, "type": kind, "at": at, "length": length }));
    }

    /// Numbers that are read.
    pub(super) fn exact(&mut self, name: &str, values: impl Iterator<Item = f64>) {
        self.add(name, "f64", values.map(f64::to_le_bytes));
    }

    /// Numbers that are drawn.
    #[expect(clippy::cast_possible_truncation, reason = "a picture needs no more digits")]
    pub(super) fn drawn(&mut self, name: &str, values: impl Iterator<Item = f64>) {
        self.add(name, "f32", values.map(|value| (value as f32).to_le_bytes()));
    }

    /// Numbers of nodes.
    #[expect(clippy::cast_possible_truncation, reason = "nodes of a mesh that can be solved")]
    pub(super) fn indices(&mut self, name: &str, values: impl Iterator<Item = usize>) {
        self.add(name, "u32", values.map(|value| (value as u32).to_le_bytes()));
    }

    /// Adds the arrays of another parcel, under names that begin with `prefix`.
    pub(super) fn append(&mut self, other: &Self, prefix: &str) {
        for entry in &other.list {
            let [at, length] = ["at", "length"]
                .map(|key| entry[key].as_u64().and_then(|n| usize::try_from(n).ok()).unwrap_or(0));
            let name = format!("{prefix}{}", entry["name"].as_str().unwrap_or_default());
            match entry["type"].as_str() {
                Some("f64") => {
                    self.add(&name, "f64", chunks::<8>(&other.bytes[at..at + 8 * length]));
                }
                kind => {
                    let bytes = &other.bytes[at..at + 4 * length];
                    self.add(&name, kind.unwrap_or("f32"), chunks::<4>(bytes));
                }
            }
        }
    }

    /// The bytes, with `head` before them.
    pub(super) fn close(self, mut head: Value) -> Vec<u8> {
        head["arrays"] = Value::Array(self.list);
        let mut head = head.to_string().into_bytes();
        head.resize((4 + head.len()).next_multiple_of(8) - 4, b' ');
        // A head of four gigabytes cannot be made of a case of one megabyte.
        let length = u32::try_from(head.len()).unwrap_or(u32::MAX);
        [&length.to_le_bytes()[..], &head, &self.bytes].concat()
    }
}

fn chunks<const N: usize>(bytes: &[u8]) -> impl Iterator<Item = [u8; N]> + '_ {
    bytes.as_chunks::<N>().0.iter().copied()
}
