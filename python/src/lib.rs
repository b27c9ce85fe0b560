//! The compiled part of the Python module: runs a case and hands over the files that the command line would write.
//!
//! Everything that a Python reader sees is in `hoopset/__init__.py`.

mod source;
mod work;

use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, Ordering};

use hoopset::Snapshot;
use hoopset::case::Complaint;
use hoopset::process::history::HistoryRecord;
use hoopset::process::sequence::Observer;
use pyo3::prelude::*;
use pyo3::types::{PyBytes, PyDict};

use crate::work::{Found, Unsolved};

/// Asks Python after every increment: the callback, and whether the user wants to stop.
struct Watch<'a> {
    callback: Option<&'a Py<PyAny>>,
    stress: f64,
    stop: &'a AtomicBool,
    snapshots: Vec<Snapshot>,
    history: Vec<HistoryRecord>,
    /// The exception that Python raised meanwhile.
    raised: Option<PyErr>,
}

impl Watch<'_> {
    fn ask(&self, record: &HistoryRecord) -> PyResult<()> {
        Python::attach(|py| {
            py.check_signals()?;
            let Some(callback) = self.callback else { return Ok(()) };
            let values = PyDict::new(py);
            values.set_item("stage", &record.stage)?;
            values.set_item("phase", record.phase.name())?;
            values.set_item("increment", record.increment)?;
            values.set_item("share", record.share)?;
            values.set_item("expansion", record.expansion)?;
            values.set_item("mean_pressure", record.mean_pressure / self.stress)?;
            values.set_item("peak_pressure", record.peak_pressure / self.stress)?;
            values.set_item("load_factor", record.load_factor)?;
            values.set_item("iterations", record.iterations)?;
            values.set_item("largest_plastic_strain", record.largest_plastic_strain)?;
            callback.call1(py, (values,))?;
            Ok(())
        })
    }
}

impl Observer for Watch<'_> {
    fn increment(&mut self, record: &HistoryRecord) -> ControlFlow<()> {
        self.history.push(record.clone());
        if let Err(error) = self.ask(record) {
            self.stop.store(true, Ordering::SeqCst);
            self.raised = Some(error);
            return ControlFlow::Break(());
        }
        ControlFlow::Continue(())
    }

    fn snapshot(&mut self, snapshot: Snapshot) -> ControlFlow<()> {
        self.snapshots.push(snapshot);
        if self.raised.is_some() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

/// The stage that failed, the message, and a hint.
type Failure = (String, String, Option<String>);

/// Runs a case: a file at `path`, else `text`. Returns the files of the results folder by name, and what went wrong with
/// a stage: `None`, or `(stage, message, hint)`.
#[pyfunction]
#[pyo3(signature = (path, text, name, callback))]
#[allow(clippy::needless_pass_by_value, reason = "an argument from Python is owned")]
#[allow(clippy::redundant_closure_for_method_calls, reason = "the method is of one lifetime only")]
fn run(
    py: Python<'_>,
    path: Option<PathBuf>,
    text: &str,
    name: &str,
    callback: Option<Py<PyAny>>,
) -> PyResult<(Py<PyDict>, Option<Failure>)> {
    let case = match &path {
        Some(path) => hoopset::case::read(path),
        None => hoopset::case::parse(text, name),
    }
    .map_err(|complaint| case_error(py, &complaint))?;
    let file = path.unwrap_or_else(|| PathBuf::from(name));
    let stop = AtomicBool::new(false);
    let stress = case.units.stress_scale();
    let mut watch = Watch {
        callback: callback.as_ref(),
        stress,
        stop: &stop,
        snapshots: Vec::new(),
        history: Vec::new(),
        raised: None,
    };
    // The interpreter is free for other threads while the metal is worked.
    let found = py.detach(|| {
        let ending = work::stages(&case, &mut watch)?;
        if watch.raised.is_some() {
            return Ok(None);
        }
        let taken = (std::mem::take(&mut watch.snapshots), std::mem::take(&mut watch.history));
        std::thread::scope(|scope| {
            let worker = scope.spawn(|| work::finish(&case, &file, taken, ending, &stop));
            while !worker.is_finished() {
                std::thread::sleep(std::time::Duration::from_millis(20));
                if watch.raised.is_none()
                    && let Err(error) = Python::attach(|py| py.check_signals())
                {
                    stop.store(true, Ordering::SeqCst);
                    watch.raised = Some(error);
                }
            }
            worker.join().map_err(|_| Unsolved::Other("the solver has stopped".to_owned(), None))
        })?
        .map(Some)
    });
    if let Some(error) = watch.raised {
        return Err(error);
    }
    let found = found.map_err(|unsolved| unsolved_error(py, unsolved))?;
    let Some(Found { files, failure }) = found else {
        return Err(pyo3::exceptions::PyKeyboardInterrupt::new_err("interrupted"));
    };
    let all = PyDict::new(py);
    for (name, bytes) in files {
        all.set_item(name, PyBytes::new(py, &bytes))?;
    }
    Ok((all.unbind(), failure))
}

/// A case of one JSON object as the text of a case file.
#[pyfunction]
fn toml_of_json(json: &str) -> PyResult<String> {
    source::toml_of_json(json).map_err(pyo3::exceptions::PyTypeError::new_err)
}

/// A new exception of the module, made from keyword arguments.
fn exception(
    py: Python<'_>,
    name: &str,
    fill: impl FnOnce(&Bound<'_, PyDict>) -> PyResult<()>,
) -> PyErr {
    let made = || {
        let values = PyDict::new(py);
        fill(&values)?;
        py.import("hoopset._errors")?.getattr(name)?.call((), Some(&values))
    };
    made().map_or_else(|error| error, PyErr::from_value)
}

fn case_error(py: Python<'_>, complaint: &Complaint) -> PyErr {
    exception(py, "CaseError", |values| {
        values.set_item("message", complaint.to_string())?;
        values.set_item("file", &complaint.file)?;
        values.set_item("line", complaint.place.map(|(line, _)| line))?;
        values.set_item("column", complaint.place.map(|(_, column)| column))?;
        values.set_item("key", complaint.key.as_deref())?;
        values.set_item("problem", &complaint.problem)?;
        values.set_item("hint", complaint.hint())
    })
}

fn unsolved_error(py: Python<'_>, unsolved: Unsolved) -> PyErr {
    let Unsolved::Other(message, hint) = unsolved;
    exception(py, "RunError", |values| {
        values.set_item("message", message)?;
        values.set_item("hint", hint)
    })
}

/// The compiled part of `hoopset`.
#[pymodule]
fn _hoopset(module: &Bound<'_, PyModule>) -> PyResult<()> {
    module.add("__version__", env!("CARGO_PKG_VERSION"))?;
    module.add_function(wrap_pyfunction!(run, module)?)?;
    module.add_function(wrap_pyfunction!(toml_of_json, module)?)?;
    Ok(())
}
