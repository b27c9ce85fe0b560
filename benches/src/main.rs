//! The whole default job against one factorization of its own stiffness matrix, in one run.
//!
//! ```text
//! yardstick                         sizes 20000, 100000, 400000, 1000000 on one and two threads
//! yardstick --unknowns 20000,100000 --threads 1
//! yardstick --job 100000            the job alone, on one thread, for a profiler
//! yardstick --many 8                eight jobs at once, on one thread and on two
//! yardstick --error                 errors of the headline numbers against time
//! yardstick --lives                a life in a thousand blocks, and a thousand drawn lives
//! yardstick --holes                 ten thousand holes of a shop, against one full solution
//! yardstick --ring                  the ring that other libraries solve too
//! yardstick --sharing               a study with its common stages solved once, and with every case alone
//! yardstick --limits                the defaults against stored fine solutions of many cases
//! yardstick --limits --only edge-2 --settings 2,32,8 --numerics 'path_tolerance = 0.01'
//! yardstick --references            computes the fine solutions that are not stored yet
//! ```
//!
//! The *unit* is the faster of two numeric Cholesky factorizations of the matrix of the first
//! increment, on the same threads: that of `faer` as it stands, and that of CHOLMOD when the
//! feature `cholmod` is on. Both unit and job are the best of a few. Every size runs in a process of
//! its own, so that its peak memory is its own.

mod accuracy;
#[cfg(feature = "cholmod")]
mod cholmod;
mod holes;
mod job;
mod limits;
mod lives;
mod many;
mod ring;
mod sharing;
mod unit;

use std::process::{Command, ExitCode};

use crate::job::Measured;

const SIZES: [usize; 4] = [20_000, 100_000, 400_000, 1_000_000];

/// Every option; a slip must not run all benchmarks.
const OPTIONS: [&str; 15] = [
    "--error",
    "--holes",
    "--job",
    "--limits",
    "--lives",
    "--many",
    "--numerics",
    "--one",
    "--only",
    "--references",
    "--ring",
    "--settings",
    "--sharing",
    "--threads",
    "--unknowns",
];

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let strange =
        |argument: &&String| argument.starts_with("--") && !OPTIONS.contains(&argument.as_str());
    if let Some(strange) = arguments.iter().find(strange) {
        eprintln!("error: no option `{strange}`; there are {}", OPTIONS.join(", "));
        return ExitCode::from(2);
    }
    let value = |name: &str| {
        let at = arguments.iter().position(|argument| argument == name)?;
        arguments.get(at + 1).map(String::as_str)
    };
    let outcome = if let Some(fineness) = value("--one") {
        one(fineness, value("--threads").unwrap_or("1"))
    } else if let Some(size) = value("--job") {
        alone(size)
    } else if let Some(count) = value("--many") {
        count.parse().map_err(|_| format!("{count} is not a number")).and_then(many::compare)
    } else if arguments.iter().any(|argument| argument == "--error") {
        accuracy::table()
    } else if arguments.iter().any(|argument| argument == "--lives") {
        lives::times()
    } else if arguments.iter().any(|argument| argument == "--holes") {
        holes::times()
    } else if arguments.iter().any(|argument| argument == "--ring") {
        ring::compare()
    } else if arguments.iter().any(|argument| argument == "--sharing") {
        sharing::compare()
    } else if let Some(run) = limits_of(&arguments) {
        run(&limits::Options {
            only: value("--only").unwrap_or_default().to_owned(),
            further: value("--numerics").unwrap_or_default().to_owned(),
            settings: value("--settings").map(str::to_owned),
        })
    } else {
        let sizes = value("--unknowns").map_or(Ok(SIZES.to_vec()), numbers);
        let threads = value("--threads").map_or(Ok(vec![1, 2]), numbers);
        sizes.and_then(|sizes| all(&sizes, &threads?))
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("error: {error}");
            ExitCode::FAILURE
        }
    }
}

type Limits = fn(&limits::Options) -> Result<(), String>;

fn limits_of(arguments: &[String]) -> Option<Limits> {
    let asked = |name: &str| arguments.iter().any(|argument| argument == name);
    if asked("--references") {
        Some(limits::references)
    } else {
        asked("--limits").then_some(limits::table as Limits)
    }
}

fn numbers(list: &str) -> Result<Vec<usize>, String> {
    let number = |word: &str| word.parse().map_err(|_| format!("`{word}` is not a whole number"));
    list.split(',').map(number).collect()
}

/// One fineness in this process: a line of JSON.
fn one(fineness: &str, threads: &str) -> Result<(), String> {
    let fineness = fineness.parse().map_err(|_| format!("{fineness} is not a number"))?;
    let threads = threads.parse().map_err(|_| format!("{threads} is not a number"))?;
    let pool = pool(threads)?;
    let measured = pool.install(|| job::measure(fineness, threads))?;
    println!("{}", serde_json::to_string(&measured).map_err(|error| error.to_string())?);
    Ok(())
}

/// The job of one size and nothing beside it.
fn alone(size: &str) -> Result<(), String> {
    let size = size.parse().map_err(|_| format!("{size} is not a number"))?;
    pool(1)?.install(|| job::alone(size))
}

fn pool(threads: usize) -> Result<rayon::ThreadPool, String> {
    let builder = rayon::ThreadPoolBuilder::new().num_threads(threads);
    builder.build().map_err(|error| error.to_string())
}

/// Every size and number of threads, each in a process of its own.
fn all(sizes: &[usize], threads: &[usize]) -> Result<(), String> {
    let program = std::env::current_exe().map_err(|error| error.to_string())?;
    println!("{}", Measured::heading());
    for &size in sizes {
        // Found here: the other meshes it takes leave no trace in the memory of the job.
        let fineness = job::fineness_for(size)?.to_string();
        for threads in threads {
            let output = Command::new(&program)
                .args(["--one", &fineness, "--threads", &threads.to_string()])
                .env("OMP_NUM_THREADS", threads.to_string())
                .output()
                .map_err(|error| error.to_string())?;
            if !output.status.success() {
                return Err(String::from_utf8_lossy(&output.stderr).into_owned());
            }
            let measured: Measured =
                serde_json::from_slice(&output.stdout).map_err(|error| error.to_string())?;
            println!("{}", measured.row());
        }
    }
    Ok(())
}
