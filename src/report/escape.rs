//! Text made safe for the file it goes into: markup, a CSV cell, a data address.
//!
//! Floor 9, `report`.

use std::borrow::Cow;

/// `text` for the body or a quoted attribute of HTML or XML. Control characters that
/// XML 1.0 forbids are left out.
#[must_use]
pub fn markup(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            '\n' | '\t' => safe.push(character),
            _ if character.is_control() => {}
            _ => safe.push(character),
        }
    }
    safe
}

/// `text` as a CSV cell. Source: RFC 4180, section 2, rules 5 to 7.
#[must_use]
pub fn cell(text: &str) -> Cow<'_, str> {
    if text.contains([',', '"', '\n', '\r']) {
        Cow::Owned(format!("\"{}\"", text.replace('"', "\"\"")))
    } else {
        Cow::Borrowed(text)
    }
}

/// `bytes` in base 64 with padding. Source: RFC 4648, section 4.
#[must_use]
pub fn base64(bytes: &[u8]) -> String {
    const ALPHABET: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for group in bytes.chunks(3) {
        let byte = |k: usize| u32::from(group.get(k).copied().unwrap_or(0));
        let word = byte(0) << 16 | byte(1) << 8 | byte(2);
        for k in 0..4 {
            // Two bytes fill three characters, one byte two; the rest is padding.
            let digit = ALPHABET[(word >> (18 - 6 * k) & 63) as usize];
            text.push(if k <= group.len() { char::from(digit) } else { '=' });
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn base64_gives_the_published_vectors() {
        // RFC 4648, section 10.
        let vectors = [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ];
        for (plain, coded) in vectors {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }

    #[test]
    fn a_cell_is_quoted_only_when_it_must_be() {
        // RFC 4180, section 2: the rules' own cases.
        assert_eq!(cell("A"), "A");
        assert_eq!(cell("b,c"), "\"b,c\"");
        assert_eq!(cell("b\"bb"), "\"b\"\"bb\"");
        assert_eq!(cell("b\nb"), "\"b\nb\"");
    }

    #[test]
    fn markup_cannot_break_out() {
        assert_eq!(markup("<a b=\"c\">&'\u{1}\n"), "&lt;a b=&quot;c&quot;&gt;&amp;&#39;\n");
    }
}
