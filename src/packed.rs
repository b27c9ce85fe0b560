//! Carried along deflated: fonts, the table of corner cracks, and texts (pages and cases of the lessons, cases of the
//! book, the live page).
//!
//! Floor 0.

use std::collections::BTreeMap;
use std::io::Read as _;
use std::sync::OnceLock;

use flate2::read::ZlibDecoder;

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

/// Bytes as they were before `build.rs` or a script of this repository packed them.
///
/// # Panics
/// When they were not packed whole, which a test of every caller shows.
pub(crate) fn inflated(packed: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    ZlibDecoder::new(packed).read_to_end(&mut bytes).expect("the bytes were packed whole");
    bytes
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
