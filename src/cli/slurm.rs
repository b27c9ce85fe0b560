//! A study on a cluster under Slurm: shares of its work as the tasks of a job array.
//!
//! `--slurm N` cuts the study into `N` shards and submits those that have open cases and no task in the queue.
//! Every task runs `--shard K/N`, which keeps a journal of its own. The command without either option then
//! gathers the journals, solves what is missing, and writes the table. A shard that a lost node left is
//! submitted again by the same command.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};

use crate::cli::args;
use crate::cli::check::beside;
use crate::cli::exit::CliError;
use crate::cli::output::say;
use crate::cli::shard::Shard;
use crate::report::study::journal;
use crate::study::sweep::WorkList;

/// Results folder of a shard.
pub(crate) fn shard_folder(study: &Path, shard: Shard) -> PathBuf {
    shards_folder(study).join(format!("{}-of-{}", shard.number, shard.of))
}

/// Folder of all shards, beside the study.
fn shards_folder(study: &Path) -> PathBuf {
    beside(study, "shards")
}

/// The journals that shards have left, finished or not, in the order of their names.
pub(crate) fn journals(study: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(shards_folder(study)) else { return Vec::new() };
    let paths = entries.flatten().map(|entry| entry.path().join(journal::FILE));
    let mut found: Vec<PathBuf> = paths.filter(|path| path.is_file()).collect();
    found.sort();
    found
}

fn refused(doing: &'static str, path: &Path) -> impl FnOnce(std::io::Error) -> CliError {
    let path = path.to_owned();
    move |source| CliError::Io { doing, path, source }
}

/// Submits the shards that have open cases. `finished` says which cases have a row.
pub(crate) fn submit(
    arguments: &args::Study,
    shards: usize,
    list: &WorkList,
    finished: &[bool],
) -> Result<ExitCode, CliError> {
    let folder = shards_folder(&arguments.file);
    fs::create_dir_all(&folder).map_err(refused("create", &folder))?;
    let jobs_file = folder.join("jobs.txt");
    let queued = queued(&fs::read_to_string(&jobs_file).unwrap_or_default(), shards);
    let open = |number: &usize| {
        let own = Shard { number: *number, of: shards }.cases(list, finished.len());
        own.iter().zip(finished).any(|(own, finished)| *own && !finished)
    };
    let unfinished: Vec<usize> = (1..=shards).filter(open).collect();
    let missing = finished.iter().filter(|finished| !**finished).count();
    let study = arguments.file.display();
    if unfinished.is_empty() {
        say!("every case is finished; `hoopset study {study}` writes the table");
        return Ok(ExitCode::SUCCESS);
    }
    let wanted: Vec<usize> = unfinished.iter().copied().filter(|k| !queued.contains(k)).collect();
    if wanted.is_empty() {
        say!("{missing} cases are open; all their {} shards are in the queue", unfinished.len());
        return Ok(ExitCode::SUCCESS);
    }
    let script = folder.join("job.sh");
    let text = script_text(arguments, shards, &folder)?;
    fs::write(&script, text).map_err(refused("write", &script))?;
    let array: Vec<String> = wanted.iter().map(usize::to_string).collect();
    let array = format!("--array={}", array.join(","));
    let mut sbatch = Command::new("sbatch");
    sbatch.arg("--parsable").arg(&array).arg(&script);
    let answer = sbatch.output().map_err(refused("submit with `sbatch` the script", &script))?;
    if !answer.status.success() {
        let why = String::from_utf8_lossy(&answer.stderr).trim().replace('\n', "; ");
        return Err(refused("submit the script", &script)(std::io::Error::other(why)));
    }
    let reply = String::from_utf8_lossy(&answer.stdout);
    // `job` or `job;cluster`.
    let job = reply.trim().split(';').next().unwrap_or_default().to_owned();
    let mut jobs = fs::OpenOptions::new()
        .create(true)
        .append(true)
        .open(&jobs_file)
        .map_err(refused("write", &jobs_file))?;
    writeln!(jobs, "{job} {shards}").map_err(refused("write", &jobs_file))?;
    say!("{missing} cases are open; job {job} works {} of {shards} shards", wanted.len());
    say!(
        "`hoopset study {study} --slurm {shards}` submits again what is lost; without `--slurm` it gathers"
    );
    Ok(ExitCode::SUCCESS)
}

/// Numbers of the shards that are in the queue now, from the jobs noted of `shards` shards each.
fn queued(noted: &str, shards: usize) -> Vec<usize> {
    let jobs: Vec<&str> = noted
        .lines()
        .filter_map(|line| line.split_once(' '))
        .filter(|(_, of)| of.parse() == Ok(shards))
        .map(|(job, _)| job)
        .collect();
    if jobs.is_empty() {
        return Vec::new();
    }
    let answer = Command::new("squeue").args(["--noheader", "--array", "--format=%i"]).output();
    let Ok(answer) = answer else { return Vec::new() };
    let text = String::from_utf8_lossy(&answer.stdout).into_owned();
    let task = |line: &str| {
        let (job, number) = line.trim().split_once('_')?;
        jobs.contains(&job).then(|| number.parse().ok())?
    };
    text.lines().filter_map(task).collect()
}

/// The script of the job array.
fn script_text(arguments: &args::Study, shards: usize, folder: &Path) -> Result<String, CliError> {
    let whole = |path: &Path| fs::canonicalize(path).map_err(refused("find", path));
    let program = std::env::current_exe().map_err(refused("find", Path::new("hoopset")))?;
    let quoted = |path: &Path| format!("'{}'", path.display().to_string().replace('\'', "'\\''"));
    let (folder, study) = (whole(folder)?, whole(&arguments.file)?);
    let cpus = arguments.jobs.unwrap_or(1);
    let options = arguments.slurm_option.iter();
    let options: Vec<String> = options
        .map(|option| {
            format!(
                "#SBATCH {option}
"
            )
        })
        .collect();
    let options = options.concat();
    Ok(format!(
        "#!/bin/sh\n\
         # One task of the array is one shard of the study; the array is given at submission.\n\
         #SBATCH --job-name=hoopset-study\n\
         #SBATCH --output={}/task-%a.log\n\
         #SBATCH --cpus-per-task={cpus}\n\
         {options}\
         exec {} study {} --shard \"$SLURM_ARRAY_TASK_ID/{shards}\" --jobs \"${{SLURM_CPUS_PER_TASK:-1}}\"\n",
        folder.display(),
        quoted(&program),
        quoted(&study),
    ))
}
