//! The command line.

mod print;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

pub(crate) use crate::cli::args::print::{Alloys, Completions, Keys, Manual, Starter};
use crate::cli::shard::{Shard, shard};
use crate::report::record::{self, Record};

/// Residual hoop stress around cold-expanded holes.
///
/// Meshes a plate with holes, drives an oversize mandrel through them, lets the plate spring
/// back, reams, loads, and writes the stresses that are left as tables, fields and figures.
/// Without a command it runs the demonstration case.
///
/// A two-dimensional model for study. It does not replace the governing specification,
/// approved data, or licensed engineering judgement.
#[derive(Debug, Parser)]
#[command(name = "hoopset", version, about, long_about, disable_help_subcommand = true)]
pub(crate) struct Arguments {
    #[command(subcommand)]
    pub(crate) command: Option<Command>,
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Run a case and write its results folder.
    Run(Run),
    /// Lives of cracks at the holes of a case, plain and expanded, and what the expansion is worth.
    Life(Life),
    /// Read and mesh a case, say what it amounts to, draw the mesh, solve nothing.
    Check(Check),
    /// Serve a page with sliders about a case to the browser of this machine.
    Live(Live),
    /// Two results side by side: headline numbers, largest differences, charts.
    Compare(Compare),
    /// Write a commented case file to start from.
    Starter(Starter),
    /// The metal round one hole through its thickness: a mandrel drawn through, entry to exit face.
    Section(Section),
    /// Find the tools for a hole: starting hole, mandrel, gauges, what tolerances leave; one page.
    Toolsheet(Toolsheet),
    /// Find the constants of a metal from tests of a bar, and how well the tests tell them.
    Metal(Metal),
    /// Find what is not known of a case from measured residual stresses, and how well they tell it.
    Infer(Infer),
    /// Judge a lot of holes by their measured sizes: expansion, residual stress, suspects, control charts.
    Shop(Shop),
    /// Vary a case along axes: solve many cases side by side, write one table, charts and a page.
    Study(Study),
    /// List the alloys a case may name, with the sources of their numbers.
    Alloys(Alloys),
    /// Print the keys of a case file, a sheet, a study, metal tests or a shop file, with their meaning and defaults.
    Keys(Keys),
    /// Print a JSON Schema, with which an editor completes and checks a case file, a sheet or a study.
    Schema(Keys),
    /// Print the manual page of the program, or of one command, for `man`.
    Manual(Manual),
    /// Print the completions of commands and options for a shell.
    Completions(Completions),
    /// Compute the verification book: problems whose answers are known from elsewhere.
    Verify(Verify),
}

/// Identity of the report, for its head and the top of every printed page. No clock is read.
#[derive(Args, Clone, Debug, Default)]
#[command(next_help_heading = "Report")]
pub(crate) struct Paper {
    /// Number of the report.
    #[arg(long, value_name = "TEXT", value_parser = record::label)]
    pub(crate) number: Option<String>,
    /// Revision of the report.
    #[arg(long, value_name = "TEXT", value_parser = record::label)]
    pub(crate) revision: Option<String>,
    /// Date of the report, such as 2031-04-09.
    #[arg(long, value_name = "DATE", value_parser = record::date)]
    pub(crate) date: Option<String>,
}

impl Paper {
    /// As the report takes it.
    pub(crate) fn record(&self) -> Record {
        let Self { number, revision, date } = self.clone();
        Record { number, revision, date }
    }
}

/// How many threads a command may use.
#[derive(Args, Clone, Copy, Debug, Default)]
pub(crate) struct Threads {
    /// Threads to use, at most 256; as many as the machine has cores when left out. Results
    /// do not depend on it.
    #[arg(long = "threads", value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) most: Option<u16>,
}

#[derive(Args, Debug, Default)]
#[command(
    after_help = "Exit codes: 0 done, 1 a stage failed (what was computed is kept), 2 bad input, \
                  130 interrupted (what was computed is kept; the same command goes on from there)."
)]
pub(crate) struct Run {
    /// Case file; the demonstration case when left out.
    pub(crate) case: Option<PathBuf>,
    /// Results folder; CASE-results beside the case file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    /// Compute every stage anew, even when the results folder holds snapshots of the same work.
    #[arg(long)]
    pub(crate) fresh: bool,
    /// Begin even when the estimate of `hoopset check` is beyond an hour of one core, 8 GB of memory
    /// or 4 GB of disk, and draw every figure, however many.
    #[arg(long)]
    pub(crate) large: bool,
    /// Also solve the case on two more meshes and with two more numbers of increments, and say of
    /// every headline number how certain it is: order, limit, uncertainty band. Takes some ten
    /// times as long.
    #[arg(long)]
    pub(crate) convergence: bool,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "The case needs a [life] table. Stages are taken from CASE-results beside the case file; where \
                  they are missing the case is run first.\n\nThrough cracks and part-through cracks, each at the \
                  place where it lives shortest. Corrosion, fretting and the quality of the work are outside.\n\nExit \
                  codes: 0 done, 1 a stage failed, 2 bad input, 130 interrupted (stages are kept; the same command \
                  goes on from there)."
)]
pub(crate) struct Life {
    /// Case file.
    pub(crate) case: PathBuf,
    /// Folder for the lives; CASE-life beside the case file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    /// Compute every stage anew.
    #[arg(long)]
    pub(crate) fresh: bool,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Prints the address, which only this machine can reach, and serves until interrupted. Nothing is \
                  written; what the page keeps, the browser saves.\n\nExit codes: 0 interrupted, 1 the port cannot \
                  be had, 2 bad input."
)]
pub(crate) struct Live {
    /// Case file; the demonstration case when left out.
    pub(crate) case: Option<PathBuf>,
    /// A lesson of the course in place of a case: its question first, then your prediction, then the run. All are
    /// listed when NAME is left out.
    #[arg(long, value_name = "NAME", conflicts_with = "case", num_args = 0..=1, default_missing_value = "")]
    pub(crate) lesson: Option<String>,
    /// Port; a free one when left out.
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    pub(crate) port: u16,
    #[command(flatten)]
    pub(crate) threads: Threads,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Of a section file, what `hoopset section` makes of it.\n\nExit codes: 0 the case can be run, 2 bad \
                  input."
)]
pub(crate) struct Check {
    /// Case file, or section file.
    pub(crate) case: PathBuf,
    /// Folder for the mesh pictures; CASE-mesh beside the case file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
}

#[derive(Args, Debug)]
#[command(
    after_help = "A section file is like a case file, of a round plate with its hole in the middle; stages are `draw`, \
                  `expand`, `ream`, `spotface` and `countersink`. A case file with a [section] gets the section of every \
                  expanded hole, beside the plane model, and a map of every path.\n\nExit codes: 0 done, 1 a stage failed (finished stages \
                  are kept), 2 bad input, 130 interrupted (finished stages are kept; the same command goes on from there)."
)]
pub(crate) struct Section {
    /// Section file, or case file with a [section].
    pub(crate) case: PathBuf,
    /// Results folder; CASE-section beside the file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    /// Compute every stage anew, even when the results folder holds stages of the same work.
    #[arg(long)]
    pub(crate) fresh: bool,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Finished cases are kept one by one: the same command goes on where an earlier one was \
                  interrupted or killed. A case that fails is recorded with its reason, and the others go on. \
                  The tables are the same bytes for any number of jobs.\n\nExit codes: 0 every case has its row, \
                  1 no case could be solved or a file not be written, 2 bad input, 130 interrupted."
)]
pub(crate) struct Study {
    /// Study file; `hoopset keys --study` lists its keys.
    #[arg(value_name = "STUDY")]
    pub(crate) file: PathBuf,
    /// Results folder; STUDY-study beside the study file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Cases solved side by side, at most 256; as many as the machine has cores when left out.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) jobs: Option<u16>,
    /// Threads for each case; 1 when left out, which is best unless there are fewer cases than cores.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) threads: Option<u16>,
    /// Solve every case anew, even when the results folder holds cases of the same study.
    #[arg(long)]
    pub(crate) fresh: bool,
    /// Solve the K-th of N shares of the cases alone, into a folder of its own that a later run without
    /// this option gathers.
    #[arg(long, value_name = "K/N", value_parser = shard, conflicts_with = "out")]
    pub(crate) shard: Option<Shard>,
    /// Submit N shares to a Slurm cluster as a job array, those with open cases that are not in the
    /// queue. The same command again submits what a lost node left.
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..), conflicts_with_all = ["shard", "fresh", "out"])]
    pub(crate) slurm: Option<u16>,
    /// A line for the head of the job script, such as --slurm-option=--partition=long.
    #[arg(long, value_name = "OPTION", requires = "slurm", allow_hyphen_values = true)]
    pub(crate) slurm_option: Vec<String>,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Exit codes: 0 done, 1 a set of sizes could not be worked, 2 bad input, or \
                        tolerances that do not fit the wanted band, 130 interrupted."
)]
pub(crate) struct Toolsheet {
    /// Sheet file; `hoopset starter --sheet` writes one to begin from.
    pub(crate) sheet: PathBuf,
    /// Results folder; SHEET-toolsheet beside the sheet file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Exit codes: 0 done, 1 no metal of the law follows the tests, 2 bad input, 130 interrupted."
)]
pub(crate) struct Metal {
    /// File of tests; `hoopset starter --metal` writes one to begin from.
    pub(crate) tests: PathBuf,
    /// Results folder; TESTS-metal beside the file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "The case needs [[measured]] and [[unknown]] tables.\n\nExit codes: 0 done, 1 the case cannot be \
                  solved, 2 bad input, 130 interrupted."
)]
pub(crate) struct Infer {
    /// Case file.
    pub(crate) case: PathBuf,
    /// Results folder; CASE-infer beside the case file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "The shop file names a case of the nominal hole and a table of holes, CSV, a row a hole. Some forty full \
                  solutions make a surrogate and are kept: another table of holes takes a second.\n\nExit codes: 0 \
                  done, suspects or not, 1 a solution failed, 2 bad input, 130 interrupted (solutions are kept; the same \
                  command goes on from there)."
)]
pub(crate) struct Shop {
    /// Shop file; `hoopset keys --shop` lists its keys.
    #[arg(value_name = "SHOP")]
    pub(crate) file: PathBuf,
    /// Results folder; SHOP-shop beside the shop file when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) threads: Threads,
    /// Solve the surrogate anew, even when the results folder holds it.
    #[arg(long)]
    pub(crate) fresh: bool,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Compared are the residual states of the same name, else the last state of each.\n\nExit codes: \
                  0 done, 2 no such results, or nothing that both have."
)]
pub(crate) struct Compare {
    /// Results folder of a run: A.
    pub(crate) first: PathBuf,
    /// Results folder of another run: B.
    pub(crate) second: PathBuf,
    /// Folder for table, page and charts; `comparison` when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) paper: Paper,
}

#[derive(Args, Debug)]
#[command(
    after_help = "Exit codes: 0 every case agrees, 1 a case falls short (the book says which), 2 bad input, \
                  130 interrupted."
)]
pub(crate) struct Verify {
    /// Cases to run, by name; all when left out. May be given several times.
    #[arg(long, value_name = "NAME")]
    pub(crate) only: Vec<String>,
    /// Folder of the book; verification-results when left out.
    #[arg(long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Folder with one folder a case, whose case.toml and expected.toml are read in place of those
    /// inside the program.
    #[arg(long, value_name = "DIR")]
    pub(crate) from: Option<PathBuf>,
    /// Few cases on coarse meshes: about two minutes.
    #[arg(long)]
    pub(crate) quick: bool,
    #[command(flatten)]
    pub(crate) paper: Paper,
}
