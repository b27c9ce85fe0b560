//! Threads that work a study, and one that takes what they finish.
//!
//! Every thread takes the next unit of the work list when it is through with one. Outcomes are handed over
//! as they come; their order depends on the threads, their content does not.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{RecvTimeoutError, sync_channel};
use std::thread;
use std::time::{Duration, Instant};

use crate::study::sweep::outcome::Outcome;
use crate::study::sweep::solve::{Solver, Task};
use crate::study::sweep::work_list::WorkList;

/// Outcomes that may wait for the one that takes them.
const WAITING: usize = 64;

/// How often the one that takes outcomes looks whether the work is to stop.
const LOOK: Duration = Duration::from_millis(50);

/// How long the increments at hand may take to end after the order to stop; then they are given up.
const PATIENCE: Duration = Duration::from_millis(600);

/// How the work of a crew ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CrewEnd {
    /// Every case that was wanted has an outcome.
    Done,
    /// The work was stopped; threads may still be busy with an increment that nobody waits for.
    Stopped,
}

/// Works the units of `list` on `jobs` threads, of `threads` each in its linear algebra.
///
/// `wanted` says of a case whether it is to be solved. `take` gets every outcome on the thread of
/// the caller, with a look every now and then even when there is none; its error stops the work.
///
/// # Errors
///
/// The first error of `take`.
pub fn work<E>(
    task: &Arc<Task>,
    list: &Arc<WorkList>,
    [jobs, threads]: [usize; 2],
    wanted: impl Fn(usize) -> bool + Send + Sync + 'static,
    mut take: impl FnMut(Option<Outcome>) -> Result<(), E>,
) -> Result<CrewEnd, E> {
    let next = Arc::new(AtomicUsize::new(0));
    let wanted = Arc::new(wanted);
    let (sender, receiver) = sync_channel::<Outcome>(WAITING);
    for _ in 0..jobs.max(1) {
        let (task, list) = (Arc::clone(task), Arc::clone(list));
        let (next, wanted, sender) = (Arc::clone(&next), Arc::clone(&wanted), sender.clone());
        thread::spawn(move || {
            let worker = || {
                loop {
                    let unit = next.fetch_add(1, Ordering::Relaxed);
                    if unit >= list.len() || task.stop.load(Ordering::Relaxed) {
                        return;
                    }
                    let cases: Vec<usize> =
                        list.unit(unit).into_iter().filter(|case| wanted(*case)).collect();
                    let mut solver = Solver::new(&task);
                    for (place, case) in cases.iter().enumerate() {
                        let more = place + 1 < cases.len();
                        // Nobody takes outcomes any more once the work is stopped.
                        match solver.solve(*case, more).map(|outcome| sender.send(outcome)) {
                            Some(Ok(())) => {}
                            Some(Err(_)) | None => return,
                        }
                    }
                }
            };
            match rayon::ThreadPoolBuilder::new().num_threads(threads.max(1)).build() {
                Ok(pool) => pool.install(worker),
                // Without a pool of its own it borrows the one of the program.
                Err(_) => worker(),
            }
        });
    }
    drop(sender);
    let mut stopped: Option<Instant> = None;
    loop {
        if stopped.is_none() && task.stop.load(Ordering::Relaxed) {
            stopped = Some(Instant::now());
        }
        if stopped.is_some_and(|since| since.elapsed() > PATIENCE) {
            return Ok(CrewEnd::Stopped);
        }
        let outcome = match receiver.recv_timeout(LOOK) {
            Ok(outcome) => Some(outcome),
            Err(RecvTimeoutError::Timeout) => None,
            Err(RecvTimeoutError::Disconnected) => {
                let stop = task.stop.load(Ordering::Relaxed);
                return Ok(if stop { CrewEnd::Stopped } else { CrewEnd::Done });
            }
        };
        if let Err(error) = take(outcome) {
            task.stop.store(true, Ordering::Relaxed);
            return Err(error);
        }
    }
}
