//! Many jobs at once: how many more two cores do than one.

use std::time::Instant;

use hoopset::process::sequence::Observer;
use hoopset::process::stage::Stage;
use hoopset::study::fleet;

use crate::job;

/// Runs `count` jobs that differ in the mandrel, on one core and on all.
pub fn compare(count: usize) -> Result<(), String> {
    let base = job::refined(job::fineness_for(20_000)?)?;
    let jobs: Vec<_> = (0..count)
        .map(|k| {
            let mut job = base.clone();
            for stage in &mut job.stages {
                if let Stage::Expand { tool, .. } = stage {
                    tool.mandrel_diameter += 0.002 * k as f64;
                }
            }
            job
        })
        .collect();
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let mut rates = Vec::new();
    for threads in [1, cores] {
        let clock = Instant::now();
        let hoops = fleet::each(&jobs, threads, |_, sequence| -> Result<f64, String> {
            let mut sequence = sequence.map_err(|error| error.to_string())?;
            let mut snapshots = Last::default();
            sequence.run(&mut snapshots).map_err(|failure| failure.error.to_string())?;
            Ok(snapshots.0)
        });
        let seconds = clock.elapsed().as_secs_f64();
        let sum: f64 = hoops.into_iter().sum::<Result<f64, String>>()?;
        rates.push(count as f64 / seconds);
        println!("{threads} core(s): {count} jobs in {seconds:.2} s (check sum {sum:.6})");
    }
    println!("throughput: {:.2} times that of one core", rates[1] / rates[0]);
    Ok(())
}

/// Keeps a number of the last snapshot.
#[derive(Default)]
struct Last(f64);

impl Observer for Last {
    fn increment(
        &mut self,
        _: &hoopset::process::history::HistoryRecord,
    ) -> std::ops::ControlFlow<()> {
        std::ops::ControlFlow::Continue(())
    }

    fn snapshot(
        &mut self,
        snapshot: hoopset::process::snapshot::Snapshot,
    ) -> std::ops::ControlFlow<()> {
        self.0 = snapshot.state.stress.iter().map(|s| s[0] + s[1]).fold(0.0, f64::min);
        std::ops::ControlFlow::Continue(())
    }
}
