//! A sheet as pixels, and filled fields as pictures.
//!
//! Everything is drawn several times larger and averaged down, which smooths lines and
//! lets neighbouring polygons of a field meet without pale seams.
//!
//! Floor 7, `plot`.

use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ColorType, ImageEncoder, RgbImage};
use plotters::backend::{BitMapBackend, DrawingBackend};

use crate::plot::backend::{Medium, Undrawn, ink, lay, length, library, whole};
use crate::plot::colour::WHITE;
use crate::plot::font::LINE_OVER_EM;
use crate::plot::sheet::{Field, Mark, Sheet};

/// Canvas pixels to a pixel of the PNG, each way.
pub(crate) const FINE: u32 = 4;

/// Moves corners of a field off the halves of a canvas pixel, on which round dimensions
/// fall: two elements compute a common corner with different rounding, and there the last
/// bit would decide and leave specks.
const OFF_TIES: f64 = 1.0 / 1021.0;

/// A filled field as a picture of its window.
pub(crate) struct Picture {
    /// Left and top on the canvas, [`FINE`] pixels to a logical pixel.
    pub(crate) corner: (i32, i32),
    pub(crate) image: RgbImage,
}

/// The picture of every filled field of a sheet, in order.
pub(crate) fn pictures(sheet: &Sheet) -> Result<Vec<Picture>, Undrawn> {
    let fields = sheet.marks.iter().filter_map(|mark| match mark {
        Mark::Field(field) => Some(picture(field)),
        _ => None,
    });
    fields.collect()
}

fn paper(width: u32, height: u32) -> RgbImage {
    RgbImage::from_pixel(width, height, image::Rgb(WHITE.0))
}

fn picture(field: &Field) -> Result<Picture, Undrawn> {
    let scale = f64::from(FINE);
    let corner = field.window.low.map(|c| whole(c * scale));
    let far = field.window.high.map(|c| whole(c * scale));
    // Even, so that it can be halved.
    let [width, height] =
        std::array::from_fn(|axis| length(f64::from(far[axis] - corner[axis])).next_multiple_of(2));
    let mut image = paper(width, height);
    let mut backend = BitMapBackend::with_buffer(&mut image, (width, height));
    let place = |c: f64, axis: usize| whole(c * scale + OFF_TIES) - corner[axis];
    for (polygon, colour) in field.polygons() {
        let corners = polygon.iter().map(|c| (place(c[0], 0), place(c[1], 1)));
        backend.fill_polygon(corners, &ink(colour)).map_err(library)?;
    }
    drop(backend);
    Ok(Picture { corner: corner.into(), image })
}

/// An image `BY` times smaller, every pixel the mean of a block.
///
/// Written here because the image library's own took more time than all the drawing.
pub(crate) fn shrunk<const BY: usize>(image: &RgbImage) -> RgbImage {
    let by = u32::try_from(BY).unwrap_or(1);
    let mut small = RgbImage::new(image.width() / by, image.height() / by);
    let [wide, narrow] = [image, &small].map(|image| 3 * image.width() as usize);
    // BY rows added up, then BY columns of the sum.
    let mut sums = vec![0u16; wide];
    let half = BY * BY / 2;
    for (rows, out) in image.chunks_exact(wide * BY).zip(small.chunks_exact_mut(narrow)) {
        sums.fill(0);
        for row in rows.chunks_exact(wide) {
            for (sum, byte) in sums.iter_mut().zip(row) {
                *sum += u16::from(*byte);
            }
        }
        for (pixel, block) in out.chunks_exact_mut(3).zip(sums.chunks_exact(3 * BY)) {
            for (channel, byte) in pixel.iter_mut().enumerate() {
                let total: usize = (0..BY).map(|k| usize::from(block[3 * k + channel])).sum();
                *byte = u8::try_from((total + half) / (BY * BY)).unwrap_or(u8::MAX);
            }
        }
    }
    small
}

/// An image as the bytes of a PNG file.
pub(crate) fn encoded(image: &RgbImage) -> Result<Vec<u8>, Undrawn> {
    let mut file = Vec::new();
    PngEncoder::new_with_quality(&mut file, CompressionType::Default, FilterType::Up).write_image(
        image,
        image.width(),
        image.height(),
        ColorType::Rgb8,
    )?;
    Ok(file)
}

/// The sheet at its logical size, as the bytes of a PNG file.
pub(crate) fn render(sheet: &Sheet, pictures: &[Picture]) -> Result<Vec<u8>, Undrawn> {
    encoded(&drawn(sheet, pictures)?)
}

fn drawn(sheet: &Sheet, pictures: &[Picture]) -> Result<RgbImage, Undrawn> {
    let medium = Medium {
        scale: f64::from(FINE),
        // A polygon takes the pixels on its border too.
        excess: 1.0,
        joins: false,
        // The bitmap backend takes sizes as line heights and puts the baseline half of one
        // below the top.
        size_over_em: LINE_OVER_EM,
        drop: 0.5 * LINE_OVER_EM,
    };
    let [width, height] = sheet.size.map(|side| FINE * length(side));
    // White comes with the first mark.
    let mut canvas = RgbImage::new(width, height);
    let mut backend = BitMapBackend::with_buffer(&mut canvas, (width, height));
    lay(sheet, &mut backend, &medium, |backend, k| {
        let Some(Picture { corner, image }) = pictures.get(k) else { return Ok(()) };
        backend.blit_bitmap(*corner, image.dimensions(), image).map_err(library)
    })?;
    drop(backend);
    Ok(shrunk::<{ FINE as usize }>(&canvas))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test may panic")]
mod tests {
    use super::*;
    use crate::plot::clip::Window;
    use crate::plot::colour::{INK, Rgb};
    use crate::plot::sheet::{Anchor, Pen, Spot};

    fn blank(width: f64, height: f64) -> Sheet {
        let mut sheet = Sheet::new([width, height], "", "");
        sheet.marks.clear();
        sheet
    }

    /// Sum of the darkness of all pixels, one for a pixel of ink.
    fn inked(image: &RgbImage) -> f64 {
        let full = f64::from(255 - INK.0[0]);
        image.pixels().map(|pixel| f64::from(255 - pixel.0[0]) / full).sum()
    }

    fn painted(field: &Field) -> RgbImage {
        picture(field).unwrap().image
    }

    #[test]
    fn two_triangles_fill_their_square_without_a_seam() {
        let window = Window { low: [0.0, 0.0], high: [20.0, 20.0] };
        let corners = [[1.3, 2.1], [17.7, 3.9], [15.2, 18.4], [2.6, 14.8]];
        let (mut whole, mut parts) = (Field::new(window), Field::new(window));
        whole.push(corners.into_iter(), INK);
        parts.push([corners[0], corners[1], corners[2]].into_iter(), INK);
        parts.push([corners[0], corners[2], corners[3]].into_iter(), INK);
        // Shoelace formula, 16 canvas pixels to a square pixel.
        let area: f64 = (0..4)
            .map(|k| {
                let (p, q): (Spot, Spot) = (corners[k], corners[(k + 1) % 4]);
                8.0 * (p[0] * q[1] - q[0] * p[1])
            })
            .sum();
        // A polygon takes half the pixels its border of 222 canvas pixels crosses.
        let ratio = inked(&painted(&whole)) / area;
        assert!((ratio - 1.0).abs() < 0.04, "{ratio}");
        let between = inked(&painted(&parts)) / inked(&painted(&whole));
        assert!((between - 1.0).abs() < 2e-3, "{between}");
    }

    #[test]
    fn a_side_with_ends_between_pixels_leaves_no_specks() {
        let mut field = Field::new(Window { low: [0.0, 0.0], high: [30.0, 20.0] });
        // The last bit of a corner computed twice, pulling the two sides apart. The corners
        // lie at half canvas pixels, where rounding would make a whole pixel of it.
        let bit = 1e-13;
        let side = |bit: f64| [[-3.0, 5.125 + bit], [33.0, 17.125 + bit]];
        let [left, right] = side(bit);
        field.push([left, right, [33.0, 25.0], [-3.0, 25.0]].into_iter(), INK);
        let [left, right] = side(-bit);
        field.push([left, right, [33.0, -5.0], [-3.0, -5.0]].into_iter(), INK);
        for (x, y, pixel) in painted(&field).enumerate_pixels() {
            assert_eq!(pixel.0, INK.0, "speck at {x}, {y}");
        }
    }

    #[test]
    fn shrinking_keeps_the_mean() {
        let mut image = paper(4, 2);
        image.put_pixel(0, 0, image::Rgb([55; 3]));
        image.put_pixel(1, 0, image::Rgb([55; 3]));
        let small = shrunk::<2>(&image);
        // Two of four pixels at 55, two at 255.
        assert_eq!(small.into_raw(), vec![155, 155, 155, 255, 255, 255]);
    }

    #[test]
    fn a_line_covers_its_width_times_its_length() {
        for (width, end) in [(1.0, [90.0, 10.0]), (2.4, [90.0, 70.0]), (1.8, [10.0, 70.0])] {
            let mut sheet = blank(100.0, 80.0);
            sheet.line(vec![[10.0, 10.0], end], Pen::new(INK, width));
            let wanted = width * (end[0] - 10.0).hypot(end[1] - 10.0);
            let found = inked(&drawn(&sheet, &[]).unwrap());
            // Whole canvas pixels: a quarter pixel of width at most, half of it on average.
            assert!((found - wanted).abs() < 0.15 * wanted, "{found} for {wanted}");
        }
    }

    #[test]
    fn capitals_stand_on_the_baseline_where_they_are_anchored() {
        for (anchor, left) in
            [(Anchor::Start, 90.0), (Anchor::Middle, 52.4), (Anchor::End, 14.8f64)]
        {
            let mut sheet = blank(190.0, 120.0);
            sheet.text([90.0, 100.0], anchor, "H");
            let Some(Mark::Text(text)) = sheet.marks.last_mut() else { unreachable!() };
            text.size = 100.0;
            let image = drawn(&sheet, &[]).unwrap();
            let dark: Vec<(u32, u32)> = image
                .enumerate_pixels()
                .filter(|(.., pixel)| pixel.0[0] < 128)
                .map(|(x, y, _)| (x, y))
                .collect();
            let span = |axis: fn(&(u32, u32)) -> u32| {
                let all = || dark.iter().map(axis);
                (f64::from(all().min().unwrap()), f64::from(all().max().unwrap()))
            };
            // Capital height of the face: 1493 of 2048 units.
            let (top, bottom) = span(|p| p.1);
            assert!((top - 27.1).abs() < 1.5 && (bottom - 99.5).abs() < 1.5, "{top} {bottom}");
            // Advance of the letter: 1540 units; stems are inset by 201.
            let (start, end) = span(|p| p.0);
            assert!(start >= left - 1.0 && end <= left + 75.2 + 1.0, "{start} {end}");
        }
    }

    #[test]
    fn colours_come_out_as_asked() {
        let mut sheet = blank(30.0, 30.0);
        sheet.rectangle(Window { low: [5.0, 5.0], high: [25.0, 25.0] }, Rgb([10, 120, 230]));
        let image = drawn(&sheet, &[]).unwrap();
        assert_eq!(image.get_pixel(15, 15).0, [10, 120, 230]);
        assert_eq!(image.get_pixel(2, 2).0, WHITE.0);
    }
}
