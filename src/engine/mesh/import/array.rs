//! One array of a VTK XML file: from what the file holds to numbers.
//!
//! An array is text, base 64, or a piece of the block of bytes at the end of the file, there
//! raw or in base 64. Bytes are led by their number (and, when compressed, by the sizes of
//! their blocks) in 4 or 8 bytes. No size is believed before the bytes are there.
//!
//! Source: VTK file formats, XML formats (the public description of the format).

use std::borrow::Cow;
use std::io::Read;

use flate2::read::ZlibDecoder;

use crate::mesh::import::base64::Base64;
use crate::mesh::import::import_error::ImportError;

/// How the numbers of one array are stored.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Scalar {
    /// Whole numbers with a sign.
    Signed(usize),
    /// Whole numbers without a sign.
    Unsigned(usize),
    /// Floating point.
    Float(usize),
}

impl Scalar {
    /// The type that a file calls `name`.
    pub(super) fn named(name: &str) -> Option<Self> {
        let (kind, bits) = name.split_at(name.find(|letter: char| letter.is_ascii_digit())?);
        let bytes = match bits {
            "8" => 1,
            "16" => 2,
            "32" => 4,
            "64" => 8,
            _ => return None,
        };
        match kind {
            "Int" => Some(Self::Signed(bytes)),
            "UInt" => Some(Self::Unsigned(bytes)),
            "Float" if bytes >= 4 => Some(Self::Float(bytes)),
            _ => None,
        }
    }

    fn bytes(self) -> usize {
        match self {
            Self::Signed(bytes) | Self::Unsigned(bytes) | Self::Float(bytes) => bytes,
        }
    }
}

/// Where the numbers of one array stand.
#[derive(Clone, Debug)]
pub(super) enum Store<'a> {
    /// As text in the array itself.
    Text(Cow<'a, [u8]>),
    /// In base 64 in the array itself.
    Inline(Cow<'a, [u8]>),
    /// In the block at the end, from this byte or letter on.
    Appended(usize),
}

/// The block at the end of a file.
#[derive(Clone, Copy, Debug)]
pub(super) struct Appended<'a> {
    /// Everything after the underscore.
    pub(super) bytes: &'a [u8],
    /// Whether it is raw bytes; base 64 otherwise.
    pub(super) raw: bool,
}

/// Settings that all arrays of a file share.
#[derive(Clone, Copy, Debug)]
pub(super) struct Layout<'a> {
    pub(super) big_endian: bool,
    /// Bytes of a size, 4 or 8.
    pub(super) size_bytes: usize,
    pub(super) compressed: bool,
    pub(super) appended: Option<Appended<'a>>,
}

/// One array as the file describes it.
#[derive(Clone, Debug)]
pub(super) struct Array<'a> {
    pub(super) name: String,
    pub(super) scalar: Scalar,
    pub(super) components: usize,
    pub(super) store: Store<'a>,
}

/// A stream of the bytes of one array.
enum Bytes<'a> {
    Raw(&'a [u8]),
    Base64(Base64<'a>),
}

impl<'a> Bytes<'a> {
    fn take(&mut self, count: usize) -> Option<Cow<'a, [u8]>> {
        match self {
            Self::Raw(bytes) => {
                let (head, rest) = bytes.split_at_checked(count)?;
                *bytes = rest;
                Some(Cow::Borrowed(head))
            }
            Self::Base64(stream) => stream.take(count).map(Cow::Owned),
        }
    }
}

impl Array<'_> {
    /// Exactly `count` numbers.
    ///
    /// # Errors
    ///
    /// [`ImportError::Array`] when the file holds another number of them, or cannot be read.
    pub(super) fn floats(&self, count: usize, layout: Layout<'_>) -> Result<Vec<f64>, ImportError> {
        if let Store::Text(text) = &self.store {
            return self.words(text, count, |word| word.parse().ok());
        }
        let decode = |bytes: [u8; 8], raw: u64| match self.scalar {
            Scalar::Float(4) => {
                f64::from(f32::from_le_bytes([bytes[0], bytes[1], bytes[2], bytes[3]]))
            }
            Scalar::Float(_) => f64::from_le_bytes(bytes),
            // Coordinates as whole numbers: exact up to 2⁵³.
            Scalar::Unsigned(_) => raw as f64,
            Scalar::Signed(width) => signed(raw, width) as f64,
        };
        Ok(self.binary(count, layout)?.into_iter().map(|(bytes, raw)| decode(bytes, raw)).collect())
    }

    /// Exactly `count` whole numbers, none negative.
    ///
    /// # Errors
    ///
    /// As [`Self::floats`], and for numbers that are not whole or negative.
    pub(super) fn wholes(
        &self,
        count: usize,
        layout: Layout<'_>,
    ) -> Result<Vec<usize>, ImportError> {
        if let Store::Text(text) = &self.store {
            return self.words(text, count, |word| word.parse().ok());
        }
        let negative = || self.complain("holds a number that is no index");
        self.binary(count, layout)?
            .into_iter()
            .map(|(_, raw)| match self.scalar {
                Scalar::Unsigned(_) => usize::try_from(raw).map_err(|_| negative()),
                Scalar::Signed(width) => {
                    usize::try_from(signed(raw, width)).map_err(|_| negative())
                }
                Scalar::Float(_) => Err(self.complain("must hold whole numbers")),
            })
            .collect()
    }

    pub(super) fn complain(&self, reason: impl Into<String>) -> ImportError {
        ImportError::Array { array: self.name.clone(), reason: reason.into() }
    }

    fn words<T>(
        &self,
        text: &[u8],
        count: usize,
        parse: impl Fn(&str) -> Option<T>,
    ) -> Result<Vec<T>, ImportError> {
        let mut numbers = Vec::new();
        let words = text.split(u8::is_ascii_whitespace).filter(|word| !word.is_empty());
        for word in words {
            let number = std::str::from_utf8(word).ok().and_then(&parse);
            numbers.push(number.ok_or_else(|| {
                let word: String = String::from_utf8_lossy(word).chars().take(20).collect();
                self.complain(format!("holds `{}`, which is no number", word.escape_debug()))
            })?);
            if numbers.len() > count {
                return Err(self.complain(format!("holds more than the {count} numbers expected")));
            }
        }
        if numbers.len() < count {
            let found = numbers.len();
            return Err(self.complain(format!("holds {found} numbers, {count} are expected")));
        }
        Ok(numbers)
    }

    /// The numbers of a binary array: their bytes from the lowest, and the same as one number.
    fn binary(&self, count: usize, layout: Layout<'_>) -> Result<Vec<([u8; 8], u64)>, ImportError> {
        let width = self.scalar.bytes();
        let wanted = count
            .checked_mul(width)
            .ok_or_else(|| self.complain("is said to be larger than any file"))?;
        let bytes = self.bytes(wanted, layout)?;
        Ok(bytes
            .chunks_exact(width)
            .map(|chunk| {
                let mut low_first = [0; 8];
                low_first[..width].copy_from_slice(chunk);
                if layout.big_endian {
                    low_first[..width].reverse();
                }
                (low_first, u64::from_le_bytes(low_first))
            })
            .collect())
    }

    /// Exactly `wanted` bytes, sizes read and blocks inflated.
    fn bytes(&self, wanted: usize, layout: Layout<'_>) -> Result<Vec<u8>, ImportError> {
        let short = || self.complain("ends too early, or is not what its encoding says");
        let mut stream = match &self.store {
            Store::Text(_) => return Err(self.complain("is text")),
            Store::Inline(text) => Bytes::Base64(Base64::new(text)),
            Store::Appended(offset) => {
                let appended = layout
                    .appended
                    .ok_or_else(|| self.complain("is said to be appended, but nothing is"))?;
                let from = appended
                    .bytes
                    .get(*offset..)
                    .ok_or_else(|| self.complain("is said to begin beyond the end of the file"))?;
                if appended.raw { Bytes::Raw(from) } else { Bytes::Base64(Base64::new(from)) }
            }
        };
        let size = |stream: &mut Bytes<'_>| -> Result<usize, ImportError> {
            let mut bytes = stream.take(layout.size_bytes).ok_or_else(short)?.into_owned();
            if !layout.big_endian {
                bytes.reverse();
            }
            let number = bytes.iter().fold(0_u64, |number, byte| number << 8 | u64::from(*byte));
            usize::try_from(number).map_err(|_| short())
        };
        let mismatch = |held: Option<usize>| {
            let held = held.map_or("more".to_owned(), |held| held.to_string());
            self.complain(format!("is said to hold {held} bytes, {wanted} are expected"))
        };
        if !layout.compressed {
            let held = size(&mut stream)?;
            if held != wanted {
                return Err(mismatch(Some(held)));
            }
            return Ok(stream.take(held).ok_or_else(short)?.into_owned());
        }

        let (blocks, whole, last) = (size(&mut stream)?, size(&mut stream)?, size(&mut stream)?);
        let before = if last == 0 { blocks } else { blocks.saturating_sub(1) };
        let held = before.checked_mul(whole).and_then(|sum| sum.checked_add(last));
        // An empty block would let a few bytes ask for any number of them.
        if held != Some(wanted) || blocks > wanted || (before > 0 && whole == 0) {
            return Err(mismatch(held));
        }
        let mut packed_sizes = Vec::new();
        for _ in 0..blocks {
            packed_sizes.push(size(&mut stream)?);
        }
        let mut bytes = Vec::new();
        for (block, packed) in packed_sizes.into_iter().enumerate() {
            let packed = stream.take(packed).ok_or_else(short)?;
            let expected = if block < before { whole } else { last };
            let from = bytes.len();
            // One byte more than expected tells, however much the block would inflate to.
            let limit = u64::try_from(expected).unwrap_or(u64::MAX).saturating_add(1);
            ZlibDecoder::new(packed.as_ref())
                .take(limit)
                .read_to_end(&mut bytes)
                .map_err(|_| self.complain(format!("cannot be inflated in block {block}")))?;
            if bytes.len() - from != expected {
                return Err(self.complain(format!("has the wrong size in block {block}")));
            }
        }
        Ok(bytes)
    }
}

/// The number with a sign that the lowest `width` bytes of `raw` stand for.
fn signed(raw: u64, width: usize) -> i64 {
    let unused = 64 - 8 * u32::try_from(width).unwrap_or(8);
    (raw << unused).cast_signed() >> unused
}
