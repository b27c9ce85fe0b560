//! The work that sharing saves: one small study, with the stages in common solved once and with every case
//! from its start.

use std::sync::Arc;
use std::time::Instant;

use hoopset::case::study::parse;
use hoopset::study::sweep::solve::{Sharing, Solver, Task};
use hoopset::study::sweep::{Outcome, Points, WorkList, numbers};

const BASE: &str = include_str!("../../examples/studies/small-plate.toml");

/// Axes of the study: the last stage varies most.
const AXES: &str = "case = \"small-plate.toml\"\n\
    [[axis]]\nname = \"expansion\"\nkey = \"stage.1.applied_expansion\"\nvalues = [0.025, 0.03, 0.035, 0.04]\n\
    [[axis]]\nname = \"ream\"\nkey = \"stage.2.diameter\"\nvalues = [6.0, 6.1, 6.2, 6.4]\n\
    [[axis]]\nname = \"load\"\nkey = \"stage.3.load.tension\"\nvalues = [50, 100, 150]\n";

const LOAD: &str = "[[stage]]\nload = { tension = 100.0, along = \"y\" }\n";

/// Prints stages solved and seconds of one thread, with sharing and without.
pub fn compare() -> Result<(), String> {
    let base = format!("{BASE}{LOAD}");
    let file = |_: &str| Ok((base.clone(), "small-plate.toml".to_owned()));
    let study = parse(AXES, "sharing.toml", file).map_err(|complaint| complaint.to_string())?;
    let (points, numbers) = (Points::new(&study), numbers(&study));
    let mut task = Task::new(study, points, numbers, Arc::default());
    println!("| sharing | cases | stages solved | taken over | s |");
    println!("|---|---|---|---|---|");
    let mut seen: Vec<Vec<Outcome>> = Vec::new();
    for (words, sharing) in [("off", Sharing::Nothing), ("on", Sharing::Stages)] {
        task.sharing = sharing;
        let clock = Instant::now();
        let outcomes = solve(&task)?;
        let seconds = clock.elapsed().as_secs_f64();
        let count = |of: fn(&Outcome) -> usize| outcomes.iter().map(of).sum::<usize>();
        let (solved, shared) = (count(|one| one.solved), count(|one| one.shared));
        println!("| {words} | {} | {solved} | {shared} | {seconds:.1} |", outcomes.len());
        seen.push(outcomes);
    }
    let same = seen[0].iter().zip(&seen[1]).all(|(a, b)| a.numbers == b.numbers);
    if same { Ok(()) } else { Err("sharing changed a number".to_owned()) }
}

fn solve(task: &Task) -> Result<Vec<Outcome>, String> {
    let list = WorkList::new(&task.study, &task.points);
    let mut outcomes = Vec::new();
    for unit in 0..list.len() {
        let mut solver = Solver::new(task);
        for case in list.unit(unit) {
            outcomes.push(solver.solve(case, true).ok_or("it was stopped")?);
        }
    }
    Ok(outcomes)
}
