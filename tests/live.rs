//! The live page's server and what it computes: token, host, limits, errors, superseding, and numbers that are
//! those of the command line. The page in a browser is in `tests/browser`.
#![allow(clippy::unwrap_used, missing_docs)]
#![allow(clippy::cast_possible_truncation, reason = "sizes of answers")]
#![allow(clippy::float_cmp, reason = "labels of paths that come back as they were written")]
#![allow(clippy::print_stdout, reason = "the accuracy measured, for `--nocapture`")]

#[path = "live/client.rs"]
mod client;
#[path = "common/program.rs"]
mod program;
#[path = "live/section.rs"]
mod section;

use std::collections::BTreeMap;
use std::io::{Read, Write};
use std::net::TcpStream;
use std::sync::Arc;
use std::thread;
use std::time::{Duration, Instant};

use client::{Page, TOKEN, answer_on, head_of, numbers};
use hoopset::case::study::Scalar;
use hoopset::case::{DEMO, parse};
use hoopset::live::answer::{Accuracy, Ticket, Workshop};
use hoopset::live::controls::Kind;
use hoopset::live::deck::{Deck, Moves};
use program::hoopset;
use serde_json::{Value, json};

fn quick() -> String {
    format!("{DEMO}\n[numerics]\nfineness = 0.4\nincrements = 6\nhardening_bracket = false\n")
}

#[test]
fn the_page_and_its_files_are_served_behind_the_token_alone() {
    let page = Page::of(&quick());
    let host = page.host();
    let mut served: Vec<String> = ["", "page.css", "start", "main.js"].map(str::to_owned).to_vec();
    let mut next = 0;
    while let Some(file) = served.get(next).cloned() {
        let (status, head, body) = page.get(&format!("/{TOKEN}/{file}"), &host, "");
        assert_eq!(status, 200, "{file}");
        assert!(!body.is_empty(), "{file}");
        assert!(head.contains("default-src 'none'") && head.contains("no-store"), "{head}");
        // What a script imports is served too.
        let text = String::from_utf8_lossy(&body).into_owned();
        for part in text.split("from \"./").skip(1) {
            let name = part.split('"').next().unwrap_or_default().to_owned();
            if !served.contains(&name) {
                served.push(name);
            }
        }
        next += 1;
    }
    assert!(served.len() > 15, "{served:?}");
    for path in [
        "/",
        "/main.js",
        "/0123456789abcdef0123456789abcdee/",
        "/0123456789abcdef/main.js",
        "//",
        &format!("/{TOKEN}/../Cargo.toml"),
        &format!("/{TOKEN}//etc/passwd"),
        &format!("/{TOKEN}/case.toml"),
    ] {
        assert_eq!(page.get(path, &host, "").0, 404, "{path}");
    }
}

#[test]
fn other_hosts_and_origins_are_turned_away() {
    let page = Page::of(&quick());
    let path = format!("/{TOKEN}/start");
    let own = page.host();
    assert_eq!(page.get(&path, &format!("localhost:{}", page.port), "").0, 200);
    for host in
        ["evil.example", "127.0.0.1", "127.0.0.1:1", &format!("evil.example:{}", page.port), ""]
    {
        assert_eq!(page.get(&path, host, "").0, 403, "{host}");
    }
    assert_eq!(page.get(&path, &own, &format!("Origin: http://{own}\r\n")).0, 200);
    for origin in ["http://evil.example", "null", "https://127.0.0.1:1"] {
        assert_eq!(page.get(&path, &own, &format!("Origin: {origin}\r\n")).0, 403, "{origin}");
    }
    assert_eq!(page.get(&path, &own, &format!("Host: {own}\r\n")).0, 400, "two hosts");
}

#[test]
fn requests_that_are_none_are_refused_and_the_next_is_answered() {
    let page = Page::of(&quick());
    let host = page.host();
    let solve = format!("POST /{TOKEN}/solve HTTP/1.1\r\nHost: {host}\r\n");
    let long =
        format!("GET /{TOKEN}/ HTTP/1.1\r\nHost: {host}\r\nX: {}\r\n\r\n", "x".repeat(20_000));
    let many = format!("GET /{TOKEN}/ HTTP/1.1\r\nHost: {host}\r\n{}\r\n", "A: b\r\n".repeat(100));
    for (text, expected) in [
        ("nonsense\r\n\r\n".to_owned(), 400),
        (long, 431),
        (many, 431),
        (format!("{solve}Content-Length: 999999999\r\n\r\n"), 413),
        (format!("{solve}Content-Length: 99999999999999999999999\r\n\r\n"), 413),
        (format!("{solve}Content-Length: -1\r\n\r\n"), 400),
        (format!("{solve}Content-Length: 2\r\nContent-Length: 3\r\n\r\n{{}}"), 400),
        (format!("{solve}Transfer-Encoding: chunked\r\n\r\n0\r\n\r\n"), 411),
        (format!("{solve}Content-Length: 3\r\nConnection: close\r\n\r\n{{a}}"), 400),
        (
            format!("DELETE /{TOKEN}/start HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"),
            405,
        ),
    ] {
        let first = text.lines().next().unwrap_or_default().to_owned();
        assert_eq!(page.raw(text.as_bytes()).0, expected, "{first} … {}", &text[text.len() - 20..]);
    }
    for question in [
        json!({ "moves": { "split": true } }),
        json!({ "moves": { "no-such": 1.0 } }),
        json!({ "moves": { "plate.idealisation": "section" } }),
        json!({ "moves": { "plate.mesh": "/etc/passwd" } }),
        json!({ "moves": { "margin": 1e300 } }),
    ] {
        let (status, head, body) = page.ask("solve", &question);
        assert_eq!(status, 200);
        assert!(head.contains("application/problem+json"), "{question}: {head}");
        assert!(serde_json::from_slice::<Value>(&body).unwrap()["error"].is_string());
    }
    assert_eq!(page.ask("solve", &json!({ "case": "x" })).0, 400, "an unknown key");
    assert_eq!(page.get(&format!("/{TOKEN}/start"), &host, "").0, 200);
}

#[test]
fn one_connection_serves_one_request_after_another() {
    let page = Page::of(&quick());
    let mut stream = page.connect();
    let one = format!("GET /{TOKEN}/page.css HTTP/1.1\r\nHost: {}\r\n\r\n", page.host());
    let last = one.replace("\r\n\r\n", "\r\nConnection: close\r\n\r\n");
    // Both at once: what is read beyond the first belongs to the second.
    stream.write_all(format!("{one}{last}").as_bytes()).unwrap();
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let text = String::from_utf8_lossy(&bytes);
    assert_eq!(text.matches("HTTP/1.1 200 OK").count(), 2);
}

#[test]
fn a_flood_of_requests_and_connections_is_bounded() {
    let page = Page::of(&quick());
    let idle: Vec<TcpStream> = (0..16).map(|_| page.connect()).collect();
    thread::sleep(Duration::from_millis(300));
    assert_eq!(page.get(&format!("/{TOKEN}/start"), &page.host(), "").0, 503);
    drop(idle);
    thread::sleep(Duration::from_millis(300));
    let mut stream = page.connect();
    let one = format!("GET /{TOKEN}/none HTTP/1.1\r\nHost: {}\r\n\r\n", page.host());
    let all = one.repeat(400) + &one.replace("\r\n\r\n", "\r\nConnection: close\r\n\r\n");
    let mut writing = stream.try_clone().unwrap();
    let writer = thread::spawn(move || writing.write_all(all.as_bytes()));
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    writer.join().unwrap().unwrap();
    let text = String::from_utf8_lossy(&bytes);
    assert!(text.contains("429 Too Many Requests"), "400 requests at once");
    thread::sleep(Duration::from_millis(1100));
    assert_eq!(page.get(&format!("/{TOKEN}/start"), &page.host(), "").0, 200);
}

#[test]
fn the_full_answer_has_the_numbers_of_the_command_line() {
    let page = Page::of(&quick());
    let moves = json!({ "expansion:1": 4.5, "margin": 1.8, "plate.idealisation": "plane strain", "split": 30.0 });
    let question = json!({ "moves": moves, "accuracy": "full" });
    let (_, _, text) = page.ask("case", &question);
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("kept.toml");
    std::fs::write(&file, &text).unwrap();
    let output = hoopset(folder.path(), &["run", "kept.toml"]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let results = folder.path().join("kept-results");
    for table in ["headlines", "paths", "history"] {
        let mut asked = question.clone();
        asked["table"] = json!(table);
        let (status, head, body) = page.ask("table", &asked);
        assert!(status == 200 && head.contains("text/csv"), "{table}: {head}");
        let written = std::fs::read(results.join(format!("{table}.csv"))).unwrap();
        assert!(body == written, "{table}.csv differs from that of the command line");
    }
    let (_, _, body) = page.ask("solve", &question);
    let head = head_of(&body);
    assert_eq!(head["accuracy"], "full");
    // Every number of the path that is drawn, to the last digit that the table has.
    let hoop: Vec<String> =
        numbers(&body, "path0").chunks(10).map(|row| format!("{}", row[3])).collect();
    let csv = std::fs::read_to_string(results.join("paths.csv")).unwrap();
    let label =
        head["stages"].as_array().unwrap().last().unwrap()["label"].as_str().unwrap().to_owned();
    let angle = head["paths"][0]["angle"].as_f64().unwrap();
    let rows: Vec<Vec<&str>> = csv.lines().skip(1).map(|line| line.split(',').collect()).collect();
    let column: Vec<f64> = rows
        .iter()
        .filter(|row| row[0] == label && row[2].parse::<f64>().unwrap() == angle)
        .map(|row| row[8].parse().unwrap())
        .collect();
    assert_eq!(hoop.len(), column.len());
    for (one, other) in hoop.iter().zip(&column) {
        assert!(
            (one.parse::<f64>().unwrap() - other).abs() <= 1e-9 * other.abs().max(1.0),
            "{one} {other}"
        );
    }
}

#[test]
fn a_state_that_cannot_be_solved_says_so_with_line_and_hint_and_the_rest_goes_on() {
    let page = Page::of(&quick());
    let (_, _, body) = page.ask("solve", &json!({ "moves": { "stage.2.diameter": 5.6 } }));
    let told: Value = serde_json::from_slice(&body).unwrap();
    assert!(told["error"].as_str().unwrap().starts_with("case.toml:"), "{told}");
    assert!(told["line"].as_u64().is_some() && told["hint"].as_str().is_some(), "{told}");
    // The same words as those of the command line.
    let (_, _, text) = page.ask("case", &json!({ "moves": { "stage.2.diameter": 5.6 } }));
    let complaint = parse(std::str::from_utf8(&text).unwrap(), "case.toml").unwrap_err();
    assert_eq!(told["error"], complaint.to_string());
    assert_eq!(told["hint"], complaint.hint());
    // One that only the run finds: the hole grows beyond what the ream takes away.
    let (_, _, body) =
        page.ask("solve", &json!({ "accuracy": "coarse", "moves": { "stage.2.diameter": 5.86 } }));
    let told: Value = serde_json::from_slice(&body).unwrap();
    assert!(told["error"].as_str().unwrap().contains("2-ream-A"), "{told}");
    let (_, head, _) = page.ask("solve", &json!({ "accuracy": "coarse" }));
    assert!(head.contains("octet-stream"), "{head}");
}

#[test]
fn a_newer_question_of_a_page_stops_the_older_one() {
    let fine = DEMO.to_owned() + "\n[numerics]\nfineness = 3.0\nincrements = 60\n";
    let page = Arc::new(Page::of(&fine));
    let older = {
        let page = Arc::clone(&page);
        thread::spawn(move || {
            let (_, _, body) = page.ask("solve", &json!({ "page": 7, "accuracy": "full" }));
            (serde_json::from_slice::<Value>(&body).unwrap(), Instant::now())
        })
    };
    thread::sleep(Duration::from_millis(1500));
    let asked = Instant::now();
    let (_, head, _) = page
        .ask("solve", &json!({ "page": 7, "accuracy": "coarse", "moves": { "expansion:1": 3.0 } }));
    assert!(head.contains("octet-stream"));
    let (told, ended) = older.join().unwrap();
    assert_eq!(told["superseded"], true, "{told}");
    // It takes minutes to the end; an increment of it takes a second or two on a busy machine.
    assert!(
        ended.duration_since(asked) < Duration::from_secs(20),
        "{:?}",
        ended.duration_since(asked)
    );
}

#[test]
fn closing_stops_what_is_under_way() {
    let fine = DEMO.to_owned() + "\n[numerics]\nfineness = 2.0\nincrements = 60\n";
    let page = Page::of(&fine);
    let port = page.port;
    let asker = thread::spawn(move || {
        let mut stream = TcpStream::connect(("127.0.0.1", port)).unwrap();
        let head = format!(
            "POST /{TOKEN}/solve HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\nContent-Length: 2\r\n\r\n{{}}"
        );
        stream.write_all(head.as_bytes()).unwrap();
        answer_on(&mut stream)
    });
    thread::sleep(Duration::from_millis(800));
    drop(page);
    let (_, head, body) = asker.join().unwrap();
    assert!(head.contains("problem+json"), "{head}");
    assert_eq!(serde_json::from_slice::<Value>(&body).unwrap()["superseded"], true);
}

#[test]
fn moves_make_the_case_that_they_say() {
    let two = r#"units = "in-ksi"
plate = { width = 3.0, height = 2.0, thickness = 0.2, alloy = "7075-T651 plate" }
hole = [ { name = "A", at = [1.0, 1.0], starting_diameter = 0.25 }, { name = "B", at = [2.0, 1.0], starting_diameter = 0.25 } ]
stage = [ { expand = "A", applied_expansion = 0.04 }, { ream = "A", diameter = 0.27 }, { expand = "B", mandrel_diameter = 0.24, sleeve_thickness = 0.01 } ]
"#;
    let deck = Deck::new(two, "two.toml").unwrap();
    let moved = |pairs: &[(&str, f64)]| {
        let moves: Moves =
            pairs.iter().map(|(id, v)| ((*id).to_owned(), Scalar::Number(*v))).collect();
        deck.case(&moves).unwrap()
    };
    let inch = 25.4;
    let at =
        |case: &hoopset::Case, hole: usize| case.job.plate.holes[hole].centre.map(|x| x / inch);
    // As read: A's final diameter is 0.27, and of the equally near edges the first is meant: the top.
    let case = moved(&[("margin", 2.0), ("spacing:2", 3.0)]);
    let (a, b) = (at(&case, 0), at(&case, 1));
    assert!((case.job.plate.nearest_edge(0).distance / inch - 0.54).abs() < 1e-5, "{a:?}");
    assert!(((b[0] - a[0]).hypot(b[1] - a[1]) - 0.75).abs() < 1e-5, "{a:?} {b:?}");
    let case = moved(&[("expansion:1", 3.0), ("expansion:3", 5.0)]);
    let tools: Vec<f64> = case
        .job
        .stages
        .iter()
        .filter_map(|stage| match stage {
            hoopset::Stage::Expand { hole, tool } => {
                Some(tool.applied_expansion(case.job.plate.holes[*hole].starting_diameter))
            }
            _ => None,
        })
        .collect();
    assert!((tools[0] - 0.03).abs() < 1e-6 && (tools[1] - 0.05).abs() < 1e-5, "{tools:?}");
    assert_eq!(deck.text(&BTreeMap::new()).unwrap(), two, "nothing moved, nothing changed");
    // Every control, put where the case has it, gives the case back.
    for control in &deck.controls {
        let value = match &control.kind {
            Kind::Slider { value, .. } => Scalar::Number(*value),
            Kind::Choice { value, .. } => Scalar::Text(value.clone()),
        };
        let case = deck.case(&BTreeMap::from([(control.id.clone(), value)])).unwrap();
        for (one, other) in case.job.plate.holes.iter().zip(&deck.case.job.plate.holes) {
            assert!((one.centre[0] - other.centre[0]).abs() < 1e-4, "{}", control.id);
        }
    }
}

/// The stated accuracy of a coarse answer: on the shipped cases, the edge stress of residual states within 5 % of
/// the yield stress of the full answer, the depth of compression within 7 % of itself.
#[test]
fn coarse_answers_are_as_exact_as_the_page_says() {
    let cases = [
        ("demonstration", DEMO),
        ("edge margin", include_str!("../examples/edge_margin.toml")),
        ("hole spacing", include_str!("../examples/hole_spacing.toml")),
        ("what the ream takes", include_str!("../examples/what_the_ream_takes.toml")),
        ("order of work", include_str!("../examples/order_of_work.toml")),
        ("three hole row", include_str!("../examples/three_hole_row.toml")),
        ("spring back", include_str!("../examples/spring_back.toml")),
    ];
    let mut worst = [(0.0, String::new()), (0.0, String::new())];
    for (name, text) in cases {
        let case = parse(text, "case.toml").unwrap();
        let workshop = Workshop::default();
        let solve = |how| workshop.solve(case.clone(), how, &Ticket::default()).unwrap();
        let (coarse, full) = (solve(Accuracy::Coarse), solve(Accuracy::Full));
        assert!(
            coarse.unknowns * 2 < full.unknowns,
            "{name}: {} {}",
            coarse.unknowns,
            full.unknowns
        );
        let pairs = coarse.summaries.iter().zip(&full.summaries).filter(|(_, full)| !full.loaded);
        for (one, other) in pairs.flat_map(|(one, other)| one.paths.iter().zip(&other.paths)) {
            let depths = [one.compression_depth, other.compression_depth];
            let stress = Some([one.edge_hoop, other.edge_hoop]);
            let depth = depths[0].zip(depths[1]).map(|(a, b)| [a, b]);
            let scales = [Some(case.job.material.yield_stress), None];
            for ((worst, pair), scale) in worst.iter_mut().zip([stress, depth]).zip(scales) {
                let Some([a, b]) = pair else { continue };
                let off = (a - b).abs() / scale.unwrap_or(b.abs());
                if off > worst.0 {
                    *worst = (off, format!("{name}, {} {}: {a} for {b}", one.hole, one.angle_deg));
                }
            }
        }
    }
    println!("{worst:?}");
    assert!(worst[0].0 < 0.05 && worst[1].0 < 0.07, "{worst:?}");
}
