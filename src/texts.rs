//! Texts carried along deflated: pages and cases of the lessons, cases of the book, the live page.
//!
//! Floor 7.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::packed::inflated;

/// The text that stands at `path` in the repository.
///
/// # Panics
/// When `build.rs` has not packed it, which a test of every caller shows.
pub(crate) fn text(path: &str) -> &'static str {
    static TEXTS: OnceLock<BTreeMap<&'static str, &'static str>> = OnceLock::new();
    TEXTS.get_or_init(|| read(unpacked())).get(path).expect("the text is packed")
}

/// All texts behind each other. They are unpacked once, and stay.
fn unpacked() -> &'static str {
    let all = inflated(include_bytes!(concat!(env!("OUT_DIR"), "/texts.z")));
    String::leak(String::from_utf8(all).expect("texts are packed"))
}

/// Texts by path; each stands below a line with its length and its path.
fn read(mut all: &'static str) -> BTreeMap<&'static str, &'static str> {
    let mut texts = BTreeMap::new();
    while let Some((head, rest)) = all.split_once('\n') {
        let (length, path) = head.split_once(' ').expect("a length and a path");
        let (text, others) = rest.split_at(length.parse().expect("a length is a number"));
        texts.insert(path, text);
        all = others;
    }
    texts
}

#[cfg(test)]
mod tests {
    use std::fs;
    use std::path::Path;

    use super::*;

    #[test]
    fn every_text_is_the_one_in_the_repository() {
        let texts = read(unpacked());
        assert!(texts.len() > 90, "{}", texts.len());
        for (path, text) in texts {
            let file = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
            assert_eq!(fs::read_to_string(file).expect("the file is there"), text, "{path}");
        }
    }
}
