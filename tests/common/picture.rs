//! A picture as pixels.

use std::fs::File;
use std::io::BufReader;
use std::path::Path;

/// Red, green and blue of every pixel of a PNG file of three channels of eight bits, row by row.
pub(crate) fn rows(path: &Path) -> Vec<Vec<[u8; 3]>> {
    let mut decoder = png::Decoder::new(BufReader::new(File::open(path).unwrap()));
    decoder.set_transformations(png::Transformations::EXPAND);
    let mut reader = decoder.read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    let frame = reader.next_frame(&mut bytes).unwrap();
    assert_eq!((frame.color_type, frame.bit_depth), (png::ColorType::Rgb, png::BitDepth::Eight));
    let pixel = |three: &[u8]| [three[0], three[1], three[2]];
    bytes
        .chunks_exact(frame.line_size)
        .map(|row| row.chunks_exact(3).map(pixel).collect())
        .collect()
}
