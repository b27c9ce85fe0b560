//! Base 64, read piece by piece.
//!
//! Writers of mesh files encode the sizes of an array and its values in one go or one after
//! the other, so padding may stand in the middle. A stream that starts afresh after padding
//! reads both.
//!
//! Source: RFC 4648 (2006), section 4.

/// A stream of base 64 text.
#[derive(Clone, Debug)]
pub(super) struct Base64<'a> {
    text: &'a [u8],
    /// Bytes decoded and not yet asked for, last first.
    ready: Vec<u8>,
}

impl<'a> Base64<'a> {
    pub(super) fn new(text: &'a [u8]) -> Self {
        Self { text, ready: Vec::with_capacity(3) }
    }

    /// The next `count` bytes; `None` when the text ends before, or is not base 64.
    pub(super) fn take(&mut self, count: usize) -> Option<Vec<u8>> {
        // Four letters make three bytes at most: a size that lies is found out here.
        if count > 3 + self.text.len() / 4 * 3 {
            return None;
        }
        let mut bytes = Vec::with_capacity(count);
        while bytes.len() < count {
            match self.ready.pop() {
                Some(byte) => bytes.push(byte),
                None => self.group()?,
            }
        }
        Some(bytes)
    }

    /// Decodes the next four letters.
    fn group(&mut self) -> Option<()> {
        let mut bits: u32 = 0;
        let (mut letters, mut padding) = (0, 0);
        while letters + padding < 4 {
            let (&letter, rest) = self.text.split_first()?;
            self.text = rest;
            if letter.is_ascii_whitespace() {
                continue;
            }
            if letter == b'=' && letters >= 2 {
                padding += 1;
                bits <<= 6;
            } else if padding == 0 {
                bits = bits << 6 | value(letter)?;
                letters += 1;
            } else {
                return None;
            }
        }
        let [_, a, b, c] = bits.to_be_bytes();
        self.ready.extend([c, b, a].iter().skip(padding));
        Some(())
    }
}

fn value(letter: u8) -> Option<u32> {
    let value = match letter {
        b'A'..=b'Z' => letter - b'A',
        b'a'..=b'z' => letter - b'a' + 26,
        b'0'..=b'9' => letter - b'0' + 52,
        b'+' => 62,
        b'/' => 63,
        _ => return None,
    };
    Some(u32::from(value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decode(text: &str, count: usize) -> Option<Vec<u8>> {
        Base64::new(text.as_bytes()).take(count)
    }

    #[test]
    fn the_examples_of_the_standard_are_read() {
        // RFC 4648, section 10.
        for (plain, coded) in [
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(decode(coded, plain.len()), Some(plain.as_bytes().to_vec()));
            assert_eq!(decode(coded, plain.len() + 1), None);
        }
    }

    #[test]
    fn padding_in_the_middle_and_line_breaks_are_read_over() {
        assert_eq!(decode("Zg==\n Zm9v", 4), Some(b"ffoo".to_vec()));
        assert_eq!(decode("Z=9v", 1), None);
        assert_eq!(decode("Zm8=v", 3), None);
        assert_eq!(decode("", usize::MAX), None);
    }
}
