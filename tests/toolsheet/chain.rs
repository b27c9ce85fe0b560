//! The chain of repair sizes: limits by hand, the solved chain against a case with the same stages, and
//! refusals.

use std::fs;
use std::ops::ControlFlow;
use std::process::Command;
use std::sync::OnceLock;

use hoopset::process::sequence::Sequence;
use hoopset::process::snapshot::Snapshot;
use hoopset::result::read::read;
use hoopset::result::summary::{PathSummary, StageSummary};
use hoopset::study::toolsheet::{ChainSize, Finished, chain_job, make};

use crate::{DISC, sheet};

/// An eccentric hole, so that paths differ, in a coarse mesh; two repair sizes.
const ECCENTRIC: &str = "finished_diameter = [6.35, 6.375]\nat = [5.0, 0.0]\n";
const SIZES: &str = "[[oversize]]\nfinished_diameter = [6.90, 6.925]\n\
                     [[oversize]]\nfinished_diameter = [7.45, 7.475]\n";

fn text() -> String {
    DISC.replace("finished_diameter = [6.35, 6.375]\n", ECCENTRIC)
        .replace("fineness = 0.5", "fineness = 0.25")
        .replace("[draws]", &format!("{SIZES}[draws]"))
}

fn made() -> &'static Finished {
    static MADE: OnceLock<Finished> = OnceLock::new();
    MADE.get_or_init(|| make(&sheet(&text()), &|_, _| ControlFlow::Continue(())).unwrap())
}

fn near(found: f64, hand: f64) {
    assert!((found - hand).abs() < 1e-9, "{found} {hand}");
}

/// Applied expansion = (mandrel + 2 sleeve − start) / start (common practice, no source).
#[test]
fn limits_of_every_size_are_those_found_by_hand() {
    assert_eq!(made().chain.len(), 3);
    for (size, finished) in made().chain.iter().zip([[6.35, 6.375], [6.90, 6.925], [7.45, 7.475]]) {
        let limits = &size.limits;
        assert_eq!(limits.finished, finished);
        // The widths are those of the sheet: 0.05 of the hole, 0.01 of a new mandrel, 0.02 of wear.
        near(limits.start[1] - limits.start[0], 0.05);
        near(limits.mandrel[1] - limits.mandrel[0], 0.01);
        near(limits.mandrel[0] - limits.worn, 0.02);
        // Smallest: worn-out mandrel, sleeve 0.195, largest hole; largest: new, 0.205, smallest hole.
        let low = (limits.worn + 0.39 - limits.start[1]) / limits.start[1];
        let high = (limits.mandrel[1] + 0.41 - limits.start[0]) / limits.start[0];
        near(size.expansion[0], low);
        near(size.expansion[1], high);
        assert!(low >= 0.03 - 1e-9 && high <= 0.05 + 1e-9, "{low} {high}");
        // The centre lies 25 − 5 mm from the rim.
        near(size.edge_margin, 20.0 / (0.5 * (finished[0] + finished[1])));
        for length in [limits.start[0], limits.mandrel[1], size.plug.unwrap()] {
            let steps = length / 0.005;
            assert!((steps - steps.round()).abs() < 1e-6, "{length}");
        }
        let plug = size.plug.unwrap();
        assert!(plug > limits.start[1] && plug <= size.expanded[0]);
        assert!(size.expanded[1] + 0.05 <= finished[0], "the ream cuts its least");
    }
    for pair in made().chain.windows(2) {
        let [before, after]: &[ChainSize; 2] = pair.try_into().unwrap();
        // The usual least cut, 0.05 mm, in the worst case.
        assert!(after.limits.start[0] - before.limits.finished[1] >= 0.05 - 1e-9);
    }
    let first = &made().chain[0];
    assert_eq!((first.limits, first.plug), (made().limits, made().expanded_plug));
    assert_eq!((first.expanded, &first.cleaned_up), (made().expanded(), &None));
}

/// A case file that works a hole through the sizes.
fn case(sizes: &[&ChainSize]) -> String {
    let head = "units = \"mm-MPa\"\n[plate]\nouter_diameter = 50.0\nthickness = 4.0\n\
                alloy = \"2024-T351 plate\"\n[numerics]\nfineness = 0.25\nincrements = 8\n\
                [[hole]]\nname = \"A\"\nat = [5.0, 0.0]\n";
    let mut parts = vec![head.to_owned()];
    for (k, size) in sizes.iter().enumerate() {
        let nominal = size.limits.corner(1);
        let key = if k == 0 { "starting_diameter" } else { "[[stage]]\nream = \"A\"\ndiameter" };
        parts.push(format!(
            "{key} = {}\n[[stage]]\nexpand = \"A\"\nmandrel_diameter = {}\n\
             sleeve_thickness = {}\n[[stage]]\nream = \"A\"\ndiameter = {}\n",
            nominal.start, nominal.mandrel, nominal.sleeve, nominal.finished
        ));
    }
    parts.concat()
}

/// The ends of the stages of a case, in numbers.
fn stages(text: &str) -> Vec<StageSummary> {
    let case = hoopset::case::parse(text, "chain.toml").unwrap_or_else(|wrong| panic!("{wrong}"));
    let mut snapshots: Vec<Snapshot> = Vec::new();
    Sequence::new(case.job.clone()).unwrap().run(&mut snapshots).unwrap();
    let ends = snapshots.iter().filter(|snapshot| snapshot.finished);
    ends.map(|end| read(end, &case.job, &case.path_angles).unwrap().1).collect()
}

fn weakest(stage: &StageSummary) -> &PathSummary {
    stage.paths.iter().max_by(|a, b| a.edge_hoop.total_cmp(&b.edge_hoop)).unwrap()
}

#[test]
fn the_chain_is_a_case_with_the_same_stages_to_the_last_digit() {
    let chain: Vec<&ChainSize> = made().chain.iter().collect();
    let text = case(&chain);
    let sizes: Vec<_> = chain.iter().map(|size| size.limits.corner(1)).collect();
    let job = hoopset::case::parse(&text, "chain.toml").unwrap().job;
    assert_eq!(chain_job(&sheet(&self::text()), &sizes).stages, job.stages);
    let stages = stages(&text);
    assert_eq!(stages.len(), 8);
    for (which, cleaned_up, left) in [(1, 2, 4), (2, 5, 7)] {
        assert_eq!(chain[which].cleaned_up.as_ref(), Some(weakest(&stages[cleaned_up])));
        assert_eq!(&chain[which].left, weakest(&stages[left]));
    }
    assert_eq!(chain[0].left, chain[0].new);
    // A new hole of the second size.
    let new = self::stages(&case(&chain[1..2]));
    assert_eq!(&chain[1].new, weakest(&new[1]));
    assert_ne!(chain[1].new, chain[1].left);
}

/// A clean-up takes off the metal that was compressed most; another expansion restores it.
#[test]
fn the_second_expansion_leaves_more_than_the_clean_up() {
    for size in &made().chain[1..] {
        let cleaned_up = size.cleaned_up.as_ref().unwrap();
        assert!(size.left.edge_hoop < cleaned_up.edge_hoop, "{size:?}");
    }
}

#[test]
fn a_sheet_without_repair_sizes_is_the_first_size_unchanged() {
    let alone = text().replace(SIZES, "");
    let alone = make(&sheet(&alone), &|_, _| ControlFlow::Continue(())).unwrap();
    assert!(alone.chain.is_empty());
    // Four solutions for each repair size, and two: the chain itself, and a new hole of the first size.
    assert_eq!(made().solutions, alone.solutions + 4 * 2 + 2);
    let mut with = made().clone();
    with.chain.clear();
    with.solutions = alone.solutions;
    assert_eq!(with, alone);
}

/// Line of the first line that starts with `key` after the heading.
fn line(text: &str, heading: &str, key: &str) -> usize {
    let from = text.lines().position(|line| line == heading).unwrap();
    from + text.lines().skip(from).position(|line| line.starts_with(key)).unwrap() + 1
}

#[test]
fn a_wrong_chain_is_refused_with_its_place_and_remedy() {
    let folder = tempfile::tempdir().unwrap();
    let plain = text().replace(SIZES, "");
    let with = |table: &str| plain.replace("[draws]", &format!("[[oversize]]\n{table}[draws]"));
    for (table, key, problem, hint) in [
        (
            "finished_diameter = [6.37, 6.40]\n",
            "finished_diameter",
            "oversize 1 may be as small as 6.37 mm, and the size before it as large as 6.375 mm",
            "give the sizes in the order they are worked",
        ),
        (
            // 20 mm from the centre to the rim: 20 / 17 = 1.176.
            "finished_diameter = [16.98, 17.0]\n",
            "finished_diameter",
            "oversize 1 has an edge margin e/D of 1.176 to the",
            "end the chain before 16.667 mm",
        ),
        (
            "finished_diameter = [6.90, 6.925]\nleast_edge_margin = 0.5\n",
            "least_edge_margin",
            "`least_edge_margin` is 0.5, outside 0.6 to 10",
            "over the finished diameter",
        ),
        ("finished = 7\n", "finished", "`finished` is no key of oversize 1", "finished_diameter"),
        (
            "finished_diameter = [6.45, 6.475]\n",
            "finished_diameter",
            "nothing is left to clean up before oversize 1",
            "raise both limits by",
        ),
    ] {
        let text = with(table);
        fs::write(folder.path().join("bad.toml"), &text).unwrap();
        let ran = Command::new(env!("CARGO_BIN_EXE_hoopset"))
            .args(["toolsheet", "bad.toml"])
            .current_dir(folder.path())
            .output()
            .unwrap();
        let said = String::from_utf8(ran.stderr).unwrap();
        assert_eq!(ran.status.code(), Some(2), "{said}");
        let place = format!("bad.toml:{}:", line(&text, "[[oversize]]", key));
        assert!(said.contains(&place) && said.contains(problem) && said.contains(hint), "{said}");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "{said}");
    }
}

#[test]
fn the_remedy_of_a_size_without_a_clean_up_is_enough_and_not_much_more() {
    let plain = text().replace(SIZES, "");
    let at = |raised: f64| {
        let table = format!(
            "[[oversize]]\nfinished_diameter = [{}, {}]\n[draws]",
            6.45 + raised,
            6.475 + raised
        );
        make(&sheet(&plain.replace("[draws]", &table)), &|_, _| ControlFlow::Continue(()))
    };
    let refusal = match at(0.0).unwrap_err() {
        hoopset::study::toolsheet::SheetError::Complaint(complaint) => complaint,
        other => panic!("{other}"),
    };
    let words: Vec<&str> = refusal.hint().split_whitespace().collect();
    let raised: f64 = words[4].parse().unwrap_or_else(|_| panic!("{}", refusal.hint()));
    assert_eq!(at(raised).unwrap().chain.len(), 2);
    // Two steps of rounding and what the allowance grows by.
    assert!(at(raised - 0.03).is_err(), "{raised}");
}

#[test]
fn the_command_writes_a_line_for_every_size_and_any_thread_count_the_same_bytes() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("repair.toml"), text()).unwrap();
    let run = |threads: &str, out: &str| {
        let ran = Command::new(env!("CARGO_BIN_EXE_hoopset"))
            .args(["toolsheet", "repair.toml", "--threads", threads, "--out", out])
            .current_dir(folder.path())
            .output()
            .unwrap();
        assert_eq!(ran.status.code(), Some(0), "{}", String::from_utf8_lossy(&ran.stderr));
        ran
    };
    let ran = run("2", "two");
    run("1", "one");
    let results = folder.path().join("two");
    for name in ["chain.csv", "toolsheet.json", "toolsheet.html"] {
        let [one, two] = ["one", "two"].map(|out| fs::read(folder.path().join(out).join(name)));
        assert!(one.unwrap() == two.unwrap(), "{name} differs");
    }
    let csv = fs::read_to_string(results.join("chain.csv")).unwrap();
    let lines: Vec<Vec<&str>> = csv.lines().map(|line| line.split(',').collect()).collect();
    assert_eq!(lines.len(), 4);
    assert!(lines.iter().all(|line| line.len() == lines[0].len()), "{csv}");
    let column = lines[0].iter().position(|name| *name == "chain_edge_hoop").unwrap();
    let json: serde_json::Value =
        serde_json::from_slice(&fs::read(results.join("toolsheet.json")).unwrap()).unwrap();
    for (k, size) in made().chain.iter().enumerate() {
        let edge = json["chain"][k]["chain_edge_hoop"].as_f64().unwrap();
        // Twelve digits are written.
        assert!((edge - size.left.edge_hoop).abs() < 1e-9 * edge.abs());
        assert_eq!(lines[k + 1][column].parse(), Ok(edge));
    }
    let page = fs::read_to_string(results.join("toolsheet.html")).unwrap();
    let said = String::from_utf8(ran.stdout).unwrap();
    for text in [&page, &said] {
        assert!(text.contains("Chain of sizes, mm") && text.contains("oversize 2"), "{text}");
        assert!(text.contains("least edge margin of an oversize 1.2"), "{text}");
    }
}
