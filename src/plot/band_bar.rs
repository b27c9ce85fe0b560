//! The colour bar of bands of stress.

use crate::plot::level::{Levels, label};
use crate::plot::paper::colour::{INK, diverging};
use crate::plot::paper::sheet::{Anchor, Pen, Sheet};
use crate::plot::paper::window::Window;

/// Lays the bar to the right of `frame`, with its `name` upward.
pub(crate) fn bar(sheet: &mut Sheet, levels: &Levels, frame: Window, name: &str) {
    const WIDTH: f64 = 24.0;
    /// Least distance of two numbers.
    const APART: f64 = 21.0;
    let (left, top) = (frame.high[0] + 26.0, frame.low[1]);
    // A flat plate would leave no room for the numbers.
    let bottom = frame.high[1].max(top + 180.0);
    let bands = f64::from(levels.last - levels.first + 1);
    let each = (bottom - top) / bands;
    let height = |k: i32| bottom - f64::from(k - levels.first) * each;
    // Each reaches down behind the next, or a pale seam shows between them.
    for k in (levels.first..=levels.last).rev() {
        let window = Window { low: [left, height(k + 1)], high: [left + WIDTH, bottom] };
        sheet.rectangle(window, diverging(levels.share(k)));
    }
    sheet.border(Window { low: [left, top], high: [left + WIDTH, bottom] }, Pen::new(INK, 1.2));
    #[expect(clippy::cast_possible_truncation, reason = "a few bands a number")]
    let every = (APART / each).ceil() as i32;
    for k in (levels.first..=levels.last + 1).filter(|k| k % every == 0) {
        let y = height(k);
        let pen = Pen::new(INK, 1.0);
        sheet.line(&[[left + WIDTH, y], [left + WIDTH + 5.0, y]], pen);
        let text = label(levels.band(k)[0], levels.step);
        sheet.text([left + WIDTH + 10.0, y + 5.8], Anchor::Start, &text);
    }
    sheet.upward_text([left + WIDTH + 82.0, 0.5 * (top + bottom)], name);
}
