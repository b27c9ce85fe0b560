//! Error against fineness, both logarithmic, as SVG and PNG.

use std::path::Path;

use plotters::prelude::*;
use plotters::style::{FontStyle, register_font};

use crate::Series;

const FONT: &str = "charts";

pub(crate) fn draw(folder: &Path, title: &str, levels: &[f64], series: &[Series]) {
    assert!(register_font(FONT, FontStyle::Normal, dejavu::sans::regular()).is_ok());
    let (svg, png) = (folder.join("convergence.svg"), folder.join("convergence.png"));
    lay(&SVGBackend::new(&svg, (760, 520)).into_drawing_area(), title, levels, series);
    lay(&BitMapBackend::new(&png, (760, 520)).into_drawing_area(), title, levels, series);
}

fn lay<B: DrawingBackend>(
    area: &DrawingArea<B, plotters::coord::Shift>,
    title: &str,
    levels: &[f64],
    series: &[Series],
) where
    B::ErrorType: 'static,
{
    area.fill(&WHITE).unwrap();
    let all = || series.iter().flat_map(|one| &one.errors).map(|e| e.abs().max(1e-9));
    // Room for the legend below the curves.
    let low = 10_f64.powf(all().fold(f64::INFINITY, f64::min).log10().floor() - 1.0);
    let high = 10_f64.powf(all().fold(0.0, f64::max).log10().ceil());
    let (first, last) = (levels[0], levels[levels.len() - 1]);
    let mut chart = ChartBuilder::on(area)
        .caption(title, (FONT, 20))
        .margin(14)
        .x_label_area_size(52)
        .y_label_area_size(76)
        .build_cartesian_2d((first / 1.2..last * 1.5).log_scale(), (low..high).log_scale())
        .unwrap();
    chart
        .configure_mesh()
        .light_line_style(WHITE)
        .x_desc("fineness of the mesh (1 is the default)")
        .y_desc("relative error")
        .label_style((FONT, 15))
        .axis_desc_style((FONT, 16))
        .x_label_formatter(&|x| format!("{x:.1}"))
        .y_label_formatter(&|y| format!("{y:.0e}"))
        .draw()
        .unwrap();
    for (k, one) in series.iter().enumerate() {
        let colour =
            [RGBColor(0, 84, 147), RGBColor(196, 78, 30), RGBColor(60, 120, 50), BLACK][k % 4];
        let points: Vec<(f64, f64)> =
            levels.iter().zip(&one.errors).map(|(l, e)| (*l, e.abs().max(1e-9))).collect();
        chart
            .draw_series(LineSeries::new(points.clone(), colour.stroke_width(2)))
            .unwrap()
            .label(one.name.clone())
            .legend(move |(x, y)| PathElement::new([(x, y), (x + 24, y)], colour.stroke_width(2)));
        chart.draw_series(points.into_iter().map(|p| Circle::new(p, 4, colour.filled()))).unwrap();
    }
    // Slopes to compare with.
    for order in [1, 2] {
        let start = 10_f64.powf(0.5 * (low.log10() + high.log10()) + 0.6);
        let line = [first, last].map(|level| (level, start * (first / level).powi(order)));
        let style = RGBColor(150, 150, 150).stroke_width(1);
        chart.draw_series(DashedLineSeries::new(line, 4, 4, style)).unwrap();
        let end = (last, line[1].1);
        chart
            .draw_series([Text::new(format!("order {order}"), end, (FONT, 13).into_font())])
            .unwrap();
    }
    chart
        .configure_series_labels()
        .position(SeriesLabelPosition::LowerLeft)
        .background_style(WHITE.mix(0.9))
        .border_style(RGBColor(120, 120, 120))
        .label_font((FONT, 14))
        .draw()
        .unwrap();
    area.present().unwrap();
}
