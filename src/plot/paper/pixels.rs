//! Pixels in rows, three bytes each, and their PNG file.

use png::{BitDepth, ColorType, DeflateCompression, Encoder, EncodingError, Filter};

use crate::plot::paper::colour::Rgb;

/// An opaque picture in rows from the top.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Pixels {
    width: usize,
    /// Three bytes a pixel: red, green, blue.
    bytes: Vec<u8>,
}

impl Pixels {
    /// A picture of one colour.
    pub(crate) fn new([width, height]: [usize; 2], Rgb(colour): Rgb) -> Self {
        Self { width, bytes: colour.repeat(width * height) }
    }

    /// A picture of given bytes, a whole number of rows.
    pub(crate) fn from_bytes(width: usize, bytes: Vec<u8>) -> Self {
        debug_assert_eq!(bytes.len() % (3 * width.max(1)), 0);
        Self { width, bytes }
    }

    /// Width and height.
    pub(crate) fn size(&self) -> [usize; 2] {
        [self.width, self.bytes.len() / (3 * self.width.max(1))]
    }

    pub(crate) fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Row `y` from column `from` up to `to`, both inside the picture.
    pub(crate) fn row_mut(&mut self, y: usize, from: usize, to: usize) -> &mut [u8] {
        &mut self.bytes[3 * (y * self.width + from)..3 * (y * self.width + to)]
    }

    /// A picture `by` times smaller, every pixel the mean of a block; what is left over of a
    /// block falls away.
    pub(crate) fn shrunk(&self, by: usize) -> Self {
        let [width, height] = self.size().map(|side| side / by);
        let (wide, area) = (3 * self.width, by * by);
        let mut bytes = Vec::with_capacity(3 * width * height);
        let mut sums = vec![0usize; wide];
        // Rows added up, then columns of the sum.
        for rows in self.bytes.chunks_exact(wide * by) {
            sums.fill(0);
            for row in rows.chunks_exact(wide) {
                for (sum, byte) in sums.iter_mut().zip(row) {
                    *sum += usize::from(*byte);
                }
            }
            for block in sums.chunks_exact(3 * by) {
                bytes.extend((0..3).map(|channel| {
                    let total: usize = (0..by).map(|k| block[3 * k + channel]).sum();
                    u8::try_from((total + area / 2) / area).unwrap_or(u8::MAX)
                }));
            }
        }
        Self { width, bytes }
    }

    /// The bytes of a PNG file.
    pub(crate) fn png(&self) -> Result<Vec<u8>, EncodingError> {
        let [width, height] = self.size().map(|side| u32::try_from(side).unwrap_or(u32::MAX));
        let mut file = Vec::new();
        let mut encoder = Encoder::new(&mut file, width, height);
        encoder.set_color(ColorType::Rgb);
        encoder.set_depth(BitDepth::Eight);
        encoder.set_filter(Filter::Up);
        encoder.set_deflate_compression(DeflateCompression::Level(LEVEL));
        let mut writer = encoder.write_header()?;
        writer.write_image_data(&self.bytes)?;
        writer.finish()?;
        Ok(file)
    }
}

/// Effort of the compression, 1 to 9: beyond it, files hardly shrink and time grows.
const LEVEL: u8 = 4;

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;

    #[test]
    fn shrinking_keeps_the_mean_of_every_block() {
        let mut bytes = vec![0; 3 * 4 * 2];
        // The left block is a quarter white, the right one three quarters.
        for pixel in [0, 2, 3, 6] {
            bytes[3 * pixel..3 * pixel + 3].fill(255);
        }
        let small = Pixels::from_bytes(4, bytes).shrunk(2);
        assert_eq!(small.size(), [2, 1]);
        assert_eq!(small.bytes(), [64, 64, 64, 191, 191, 191]);
    }

    #[test]
    fn a_file_holds_the_pixels_that_were_put_in() {
        let mut pixels = Pixels::new([7, 5], Rgb([12, 200, 90]));
        pixels.row_mut(3, 2, 4).copy_from_slice(&[1, 2, 3, 4, 5, 6]);
        let file = std::io::Cursor::new(pixels.png().unwrap());
        let mut reader = png::Decoder::new(file).read_info().unwrap();
        let mut read = vec![0; reader.output_buffer_size().unwrap()];
        let frame = reader.next_frame(&mut read).unwrap();
        assert_eq!((frame.width, frame.height, frame.color_type), (7, 5, png::ColorType::Rgb));
        assert_eq!(read, pixels.bytes);
    }
}
