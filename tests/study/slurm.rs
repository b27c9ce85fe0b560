//! A study on a real Slurm of one node, started by `tests/study/slurm-up.sh`. Where its programs are not
//! installed the test says so and does nothing.

use std::fs;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

use crate::run::{hoopset, program};
use crate::study::program::{STUDY, folder, tables};

/// Programs of the Debian packages `slurm-wlm` and `munge`.
const NEEDED: [&str; 6] = ["sbatch", "squeue", "scancel", "slurmctld", "slurmd", "munged"];

fn installed(name: &str) -> bool {
    let places = std::env::var("PATH").unwrap_or_default();
    let all = places.split(':').chain(["/usr/sbin", "/sbin"]);
    all.into_iter().any(|place| Path::new(place).join(name).is_file())
}

fn script(name: &str, folder: &Path) -> std::process::Output {
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/study").join(name);
    Command::new("bash").arg(script).arg(folder).output().unwrap()
}

#[test]
fn a_cluster_gives_the_table_of_one_machine_after_a_shard_is_lost() {
    if let Some(missing) = NEEDED.into_iter().find(|name| !installed(name)) {
        eprintln!("skipped: no `{missing}` here; Debian has it in slurm-wlm and munge");
        return;
    }
    let place = folder(STUDY);
    assert!(hoopset(place.path(), &["study", "discs.toml", "--out", "whole"]).status.success());
    let cluster = place.path().join("cluster");
    let up = script("slurm-up.sh", &cluster);
    if !up.status.success() {
        script("slurm-down.sh", &cluster);
        eprintln!("skipped: Slurm does not start: {}", String::from_utf8_lossy(&up.stderr));
        return;
    }
    let conf = cluster.join("slurm.conf");
    let submit = || {
        let ran = program(place.path())
            .args(["study", "discs.toml", "--slurm", "3", "--slurm-option=--time=10"])
            .env("SLURM_CONF", &conf)
            .output()
            .unwrap();
        let said = [ran.stdout.as_slice(), ran.stderr.as_slice()].concat();
        String::from_utf8_lossy(&said).into_owned()
    };
    let first = submit();
    let busy = submit();
    wait(&conf);
    // A node is lost: the journal of its shard is gone.
    let lost = fs::remove_dir_all(place.path().join("discs-shards/2-of-3"));
    let again = submit();
    wait(&conf);
    let last = submit();
    let down = script("slurm-down.sh", &cluster);
    assert!(first.contains("works 3 of 3 shards"), "{first}");
    // Either its shards are still in the queue, or they are finished already.
    assert!(busy.contains("in the queue") || busy.contains("finished"), "{busy}");
    assert!(lost.is_ok(), "{first}");
    assert!(again.contains("works 1 of 3 shards"), "{again}");
    assert!(last.contains("every case is finished"), "{last}");
    assert!(down.status.success());
    let gathered = hoopset(place.path(), &["study", "discs.toml"]);
    assert!(!String::from_utf8_lossy(&gathered.stdout).contains("solved now"), "nothing is left");
    assert_eq!(tables(place.path(), "discs-study"), tables(place.path(), "whole"));
}

/// Waits until the queue is empty, two minutes at most.
fn wait(conf: &Path) {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(120) {
        let queue = Command::new("squeue").arg("--noheader").env("SLURM_CONF", conf).output();
        if queue.is_ok_and(|queue| queue.status.success() && queue.stdout.is_empty()) {
            return;
        }
        std::thread::sleep(Duration::from_millis(300));
    }
}
