//! Many independent jobs, one to each core.
//!
//! A job is worked by one thread from mesh to last stage, so no core waits for another. Jobs whose
//! meshes are connected alike, wherever their nodes lie, share what follows from that alone:
//! sparsity, order of elimination, fronts.

use std::num::NonZero;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Arc, Mutex};

use crate::mesh::build;
use crate::process::job::Job;
use crate::process::plan::mesh_plan;
use crate::process::sequence::Sequence;
use crate::process::stage_error::StageError;
use crate::solver::symbolic::SymbolicStore;

/// Hands every job, meshed and ready for its first stage, to `work`, on as many threads as given
/// (0: as many as there are cores). Answers come in the order of the jobs and are the same bytes
/// for any number of threads.
///
/// `work` gets the number of the job, from 0, and its [`Sequence`], or why there is none. It runs
/// inside a thread pool of one thread.
///
/// # Panics
///
/// When `work` does.
pub fn each<R: Send>(
    jobs: &[Job],
    threads: usize,
    work: impl Fn(usize, Result<Sequence, StageError>) -> R + Sync,
) -> Vec<R> {
    let cores = || std::thread::available_parallelism().map_or(1, NonZero::get);
    let threads = if threads == 0 { cores() } else { threads }.clamp(1, jobs.len().max(1));
    let next = AtomicUsize::new(0);
    let store = Arc::default();
    let answers: Vec<Mutex<Option<R>>> = jobs.iter().map(|_| Mutex::new(None)).collect();
    let worker = || {
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(job) = jobs.get(index) else { return };
            let answer = work(index, ready(job, &store));
            *answers[index].lock().unwrap_or_else(std::sync::PoisonError::into_inner) =
                Some(answer);
        }
    };
    std::thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|| match rayon::ThreadPoolBuilder::new().num_threads(1).build() {
                Ok(pool) => pool.install(worker),
                // Without a pool of its own it borrows the one of the program.
                Err(_) => worker(),
            });
        }
    });
    let taken = |answer: Mutex<Option<R>>| {
        let answer = answer.into_inner().unwrap_or_else(std::sync::PoisonError::into_inner);
        answer.expect("every job was worked, or the scope has passed on a panic")
    };
    answers.into_iter().map(taken).collect()
}

/// A job on its mesh, with the symbolic work of one that is connected alike, if there was one.
fn ready(job: &Job, store: &Arc<SymbolicStore>) -> Result<Sequence, StageError> {
    let mesh = build(&job.plate, &mesh_plan(job))?;
    Sequence::with_store(job.clone(), mesh, Arc::clone(store))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::parse;
    use crate::process::snapshot::Snapshot;
    use crate::process::stage::Stage;

    const RING: &str = r#"
        units = "mm-MPa"
        plate = { outer_diameter = 24.0, thickness = 3.0, alloy = "2024-T351 plate" }
        hole = [ { name = "A", starting_diameter = 6.0 } ]
        stage = [ { expand = "A", applied_expansion = 0.03 } ]
        numerics = { fineness = 0.3, increments = 4 }
    "#;

    fn jobs() -> Vec<Job> {
        let base = parse(RING, "ring.toml").expect("a good case").job;
        [0.0, 0.01, 0.02, 0.0]
            .into_iter()
            .map(|more| {
                let mut job = base.clone();
                for stage in &mut job.stages {
                    if let Stage::Expand { tool, .. } = stage {
                        tool.mandrel_diameter += more;
                    }
                }
                job
            })
            .collect()
    }

    #[test]
    fn answers_come_in_order_and_do_not_depend_on_threads() {
        let jobs = jobs();
        let run = |threads: usize| {
            each(&jobs, threads, |index, sequence| {
                let mut snapshots: Vec<Snapshot> = Vec::new();
                sequence.expect("meshes").run(&mut snapshots).expect("runs");
                (index, snapshots.pop().expect("one at least").state)
            })
        };
        let alone: Vec<_> = jobs
            .iter()
            .enumerate()
            .map(|(index, job)| {
                let mut snapshots: Vec<Snapshot> = Vec::new();
                let mut sequence = Sequence::new(job.clone()).expect("meshes");
                sequence.run(&mut snapshots).expect("runs");
                (index, snapshots.pop().expect("one at least").state)
            })
            .collect();
        for threads in [1, 3] {
            assert!(run(threads) == alone, "{threads} threads");
        }
        assert!(alone[0].1 == alone[3].1 && alone[0].1 != alone[1].1);
    }
}
