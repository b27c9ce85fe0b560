//! CSV, page and terminal table.

use approx::assert_relative_eq;
use hoopset::process::history::Phase;
use hoopset::report::folder::ResultsFolder;
use hoopset::report::page::figure::{Figure, FigureError, Media};
use hoopset::report::page::page;
use hoopset::report::record::Record;
use hoopset::report::run::{Outcome, RunReport};
use hoopset::report::{csv, table, write};
use hoopset::units::Units;

use crate::sample::{CASE, Sample, holes, record, stage_result};

#[test]
fn paths_have_the_promised_columns() {
    let text = csv::paths(&[stage_result("1-expand-A")], Units::MmMpa);
    let lines: Vec<&str> = text.split('\n').collect();
    assert_eq!(
        lines[0],
        "stage,hole,angle_deg,distance,x,y,x_drawn,y_drawn,hoop,radial,axial,shear,von_mises,\
         equivalent_plastic_strain,hoop_point,hoop_jump,thickness_change"
    );
    assert_eq!(
        lines[1],
        "1-expand-A,A,0,0,14.95,30,14.85,30,-312.4,0,0,0,300,0.03,-310,1.5e-6,-0.021"
    );
    assert_eq!(
        lines[4],
        "1-expand-A,\"B, upper\",22.5,0.1,15.05,30,14.95,30,-212.4,0,0,0.333333333333,300,0.015,-310,1.5e-6,-0.021"
    );
    assert_eq!(lines[5..], [""], "the last line is ended and nothing follows");
}

#[test]
fn history_has_one_row_an_increment() {
    let records = [record(1, Phase::Expand), record(2, Phase::LoadDown)];
    let text = csv::history(&records, Units::MmMpa);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(
        lines,
        [
            "stage,phase,increment,share,expansion,mean_pressure,peak_pressure,closed_nodes,\
             mandrel_shift_x,mandrel_shift_y,load_factor,iterations,contact_changes,halvings,\
             residual,external_work,elastic_energy,plastic_work,largest_plastic_strain",
            "1-expand-A,expand,1,0.333333333333,0.0128,401.5,433,96,-0.004,0,0,4,2,1,2e-10,1234.5,\
             1000,234.5,0.031",
            "1-expand-A,load-down,2,0.333333333333,0.0128,401.5,433,96,-0.004,0,0,4,2,1,2e-10,\
             1234.5,1000,234.5,0.031",
        ]
    );
}

#[test]
fn both_unit_systems_agree_after_conversion() {
    let records = [record(1, Phase::Expand)];
    let stages = [stage_result("1-expand-A")];
    let sample = Sample::new();
    let report = sample.report(Units::MmMpa, Outcome::Done);
    let headlines = |units| csv::headlines(report.stages, units);
    let pairs = [
        (csv::paths(&stages, Units::MmMpa), csv::paths(&stages, Units::InKsi)),
        (headlines(Units::MmMpa), headlines(Units::InKsi)),
        (csv::history(&records, Units::MmMpa), csv::history(&records, Units::InKsi)),
    ];
    for ((file, columns), (metric, inch)) in csv::columns(&report).into_iter().zip(pairs) {
        // A quoted comma would shift the cells; names are not what is compared here.
        let metric = metric.replace("\"B, upper\"", "B");
        let inch = inch.replace("\"B, upper\"", "B");
        for (metric, inch) in metric.lines().zip(inch.lines()).skip(1) {
            for ((column, metric), inch) in
                columns.iter().zip(metric.split(',')).zip(inch.split(','))
            {
                // By the meaning of the column, not by the program's own table, which must say
                // the same. Exact: 25.4 mm; 1000 lbf/in² with the exact pound and gravity.
                let (unit, scale) = match column.name {
                    "stage" | "hole" | "phase" => {
                        assert_eq!(metric, inch);
                        continue;
                    }
                    "distance"
                    | "x"
                    | "y"
                    | "x_drawn"
                    | "y_drawn"
                    | "peak_compression_at"
                    | "compression_depth"
                    | "peak_tension_at"
                    | "plastic_extent"
                    | "reverse_yield_extent"
                    | "smallest_diameter"
                    | "largest_diameter"
                    | "mandrel_shift_x"
                    | "mandrel_shift_y" => ("in", 25.4),
                    "edge_hoop" | "peak_compression" | "peak_tension" | "hoop" | "radial"
                    | "axial" | "shear" | "von_mises" | "hoop_point" | "hoop_jump"
                    | "mean_pressure" | "peak_pressure" => ("ksi", 6.894_757_293_168_361),
                    "external_work" | "elastic_energy" | "plastic_work" => {
                        ("kip·in", 4_448.221_615_260_5 * 25.4)
                    }
                    "angle_deg" => ("degree", 1.0),
                    _ => ("1", 1.0),
                };
                assert_eq!(column.quantity.unit(Units::InKsi), unit, "{file}: {}", column.name);
                if metric.is_empty() {
                    assert_eq!(inch, "", "{file}: {}", column.name);
                    continue;
                }
                let (metric, inch): (f64, f64) = (metric.parse().unwrap(), inch.parse().unwrap());
                assert_relative_eq!(metric, inch * scale, max_relative = 1e-9);
            }
        }
    }
}

#[test]
fn the_table_answers_for_residual_states_only() {
    let sample = Sample::new();
    let text = table::answer(&sample.report(Units::MmMpa, Outcome::Done));
    assert!(!text.contains("After 1-expand-A-full"));
    assert!(text.contains("After 1-expand-A\n") && text.contains("After 2-ream-A\n"));
    assert!(text.contains("applied expansion 3.86 %, retained 2.91 %"), "{text}");
    // Pressure comes from the snapshot with the tool in, not from the one after it.
    assert!(
        text.contains("contact pressure at full size mean 588.1 MPa, peak 731.9 MPa"),
        "{text}"
    );
    let row = text.lines().find(|line| line.trim_start().starts_with("A 90°")).unwrap();
    let cells: Vec<&str> = row.split_whitespace().collect();
    assert_eq!(
        cells,
        [
            "A", "90°", "-287.7", "-322.3", "0.187", "3.217", "96.4", "6.020", "4.810", "0.612",
            "0.31"
        ]
    );
}

#[test]
fn a_page_needs_nothing_from_outside() {
    let sample = Sample::new();
    let figure = Figure {
        caption: "Hoop stress <A>".to_owned(),
        media: Media::Svg,
        bytes: b"<svg xmlns=\"http://www.w3.org/2000/svg\"/>".to_vec(),
    };
    let report = sample.report(Units::InKsi, Outcome::Done);
    let text = page(&report, std::slice::from_ref(&figure));
    for fetch in ["http:", "https:", "<script", "<link", "@import", "url("] {
        assert!(!text.contains(fetch), "{fetch}");
    }
    assert!(!text.contains("some/folder"), "where the case lies is nobody's business");
    // The start of the drawing in base 64, and the case file with its markup made harmless.
    assert!(text.contains("src=\"data:image/svg+xml;base64,PHN2ZyB4bWxucz0i"));
    assert!(!text.contains("<edge>") && text.contains("&lt;edge&gt; &amp;"));
    assert!(text.contains(&CASE.lines().last().unwrap().replace('"', "&quot;")));
    assert_eq!(text, page(&report, &[figure]), "same input, same bytes");
}

#[test]
fn a_whole_run_fills_the_folder() {
    let place = tempfile::tempdir().unwrap();
    let folder = ResultsFolder::create(&place.path().join("r")).unwrap();
    let sample = Sample::new();
    let stages = [stage_result("1-expand-A"), stage_result("2-ream-A")];
    for stage in &stages {
        write::fields(&folder, stage, &holes(), Units::MmMpa).unwrap();
    }
    write::timings(&folder, &[("solve", 1.0)]).unwrap();
    write::rest(&folder, &sample.report(Units::MmMpa, Outcome::Done), &stages, &[]).unwrap();
    let target = folder.finish().unwrap();
    for name in [
        "case.toml",
        "summary.json",
        "timings.json",
        "paths.csv",
        "history.csv",
        "report.html",
        "fields/1-expand-A.vtu",
        "fields/1-expand-A-points.vtu",
        "fields/2-ream-A.vtu",
        "fields/2-ream-A-points.vtu",
        "fields/stages.pvd",
    ] {
        assert!(target.join(name).is_file(), "{name}");
    }
    assert_eq!(std::fs::read_to_string(target.join("case.toml")).unwrap(), CASE);
    // The program knows its own summary again, so the next run may replace the folder.
    ResultsFolder::create(&target).unwrap();
}

#[test]
fn every_element_of_the_page_is_closed() {
    let sample = Sample::new();
    let text = page(&sample.report(Units::MmMpa, Outcome::Interrupted), &[]);
    let mut open: Vec<&str> = Vec::new();
    let tags = text.split('<').skip(1).map(|piece| piece.split('>').next().unwrap());
    for tag in tags.filter(|tag| !tag.starts_with('!')) {
        let name = tag.split([' ', '\n']).next().unwrap();
        match name.strip_prefix('/') {
            Some(name) => assert_eq!(open.pop(), Some(name)),
            None if ["meta", "br", "img"].contains(&name) => {}
            None => open.push(name),
        }
    }
    assert_eq!(open, Vec::<&str>::new());
}

#[test]
fn a_failed_run_says_so_first() {
    let sample = Sample::new();
    let outcome = Outcome::Failed {
        message: "stage 1 stopped at 62.0 %".to_owned(),
        hint: Some("refine the hole edge".to_owned()),
    };
    let text = page(&sample.report(Units::MmMpa, outcome), &[]);
    let failed = text.find("The run failed; these results are incomplete").unwrap();
    assert!(failed < text.find("<h2>").unwrap());
    assert!(text.contains("stage 1 stopped at 62.0 %") && text.contains("refine the hole edge"));
}

#[test]
fn the_report_begins_with_its_identity_and_gives_the_answer_a_band() {
    let mut sample = Sample::new();
    for (law, shift) in sample.bracket.iter_mut().zip([-50.0, 0.0, 80.0]) {
        law.paths.iter_mut().for_each(|path| path.edge_hoop += shift);
    }
    let record = Record {
        number: Some("HP-104 </style>".to_owned()),
        revision: Some("B".to_owned()),
        date: Some("2031-04-09".to_owned()),
    };
    let report = RunReport { record, ..sample.report(Units::MmMpa, Outcome::Done) };
    let text = page(&report, &[]);
    assert_eq!(text.matches("</style>").count(), 1, "a number cannot end the style sheet");
    let place = |words: &str| text.find(words).unwrap_or_else(|| panic!("no {words}"));
    let order = [
        "HP-104 &lt;/style&gt;",
        report.case_sha256,
        "<h2>Asked",
        "<h2>Answer",
        "<h2>Signatures",
        "<h2>Assumptions",
        "<h2>Cautions",
        "<h2>Inputs",
    ]
    .map(place);
    assert!(order.is_sorted(), "{order:?}");
    let edges = report.stages.last().unwrap().paths.iter().map(|path| path.edge_hoop);
    let weakest = edges.fold(f64::NEG_INFINITY, f64::max);
    let ends = format!("−{:.1} to −{:.1}", 50.0 - weakest, -80.0 - weakest);
    assert!(text.contains(&ends), "{ends}");
    // The error of the defaults at an edge: 0.7 % of the yield stress.
    let yield_stress = report.job.material.yield_stress;
    assert!(text.contains(&format!("±{:.1}", 0.007 * yield_stress)));
}

#[test]
fn a_figure_of_an_unknown_kind_is_refused() {
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("a.png");
    assert!(matches!(Figure::read(&path, "a"), Err(FigureError::Unreadable { .. })));
    std::fs::write(&path, b"x").unwrap();
    assert_eq!(Figure::read(&path, "a").unwrap().media, Media::Png);
    let refusal = Figure::read(&place.path().join("a.gif"), "a").unwrap_err();
    assert!(matches!(refusal, FigureError::UnknownKind { .. }));
}
