//! Text made safe for the file it goes into: markup, a CSV cell.

use std::borrow::Cow;

/// `text` for the body or a quoted attribute of HTML or XML. Control characters that
/// XML 1.0 forbids are left out.
#[must_use]
pub(crate) fn markup(text: &str) -> String {
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

#[cfg(test)]
mod tests {
    use super::*;

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
