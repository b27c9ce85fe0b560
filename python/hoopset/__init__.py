"""Residual hoop stress around cold-expanded holes.

>>> import hoopset
>>> result = hoopset.run('''
... units = "mm-MPa"
... plate = { outer_diameter = 30.0, thickness = 3.0, alloy = "2024-T351 plate" }
... hole = [ { name = "A", starting_diameter = 6.0 } ]
... stage = [ { expand = "A", applied_expansion = 0.04 } ]
... numerics = { fineness = 0.5, hardening_bracket = false }
... ''')
>>> result.stage_labels
['1-expand-A-full', '1-expand-A']
>>> bool(result.last.headlines["edge_hoop"].max() < -300.0)  # compression at the edge, MPa
True
"""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any, Optional, Union

from . import _hoopset
from ._errors import CaseError, HoopsetError, RunError, StageError
from ._hoopset import __version__
from ._result import Files, Result, Stage

__all__ = [
    "CaseError",
    "HoopsetError",
    "Result",
    "RunError",
    "Stage",
    "StageError",
    "__version__",
    "read",
    "run",
    "to_toml",
]

Case = Union[str, "os.PathLike[str]", Mapping[str, Any]]


def to_toml(case: Mapping[str, Any]) -> str:
    """A case given as a dictionary, as the text of a case file.

    >>> print(to_toml({"units": "mm-MPa", "hole": [{"name": "A", "at": [1, 2.5]}]}).strip())
    units = "mm-MPa"
    <BLANKLINE>
    [[hole]]
    at = [1, 2.5]
    name = "A"
    """

    def plain(value: Any) -> Any:
        # Numbers and arrays of numpy.
        if hasattr(value, "tolist"):
            return value.tolist()
        raise TypeError(f"{type(value).__name__} is nothing that a case file has")

    return _hoopset.toml_of_json(json.dumps(case, default=plain, allow_nan=False))


def run(
    case: Case,
    *,
    on_increment: Optional[Callable[[dict[str, Any]], object]] = None,
    progress: bool = False,
) -> Result:
    """Runs a case and returns its results, the same numbers as those of the command ``hoopset run``.

    Parameters
    ----------
    case
        A path, or the text of a case file (whatever has more than one line), or a dictionary of its tables.
    on_increment
        Called after every increment with a dictionary: ``stage``, ``phase``, ``increment``, ``share`` of the phase,
        ``expansion``, ``mean_pressure``, ``peak_pressure``, ``load_factor``, ``iterations``, ``largest_plastic_strain``.
        Whatever it raises ends the run and is raised here.
    progress
        Whether a line on standard error tells how far the run is; nothing is told unless that is a terminal.

    Raises
    ------
    CaseError
        A mistake in the case, with line and hint.
    StageError
        A stage that could not be finished; ``result`` has what came before.
    RunError
        A plate that cannot be meshed, or a run that would be too large.
    KeyboardInterrupt
        After the increment at hand. Other threads of Python go on during a run.

    >>> disc = '''
    ... units = "mm-MPa"
    ... plate = { outer_diameter = 30.0, thicknes = 3.0, alloy = "2024-T351 plate" }
    ... hole = [ { name = "A", starting_diameter = 6.0 } ]
    ... stage = [ { expand = "A", applied_expansion = 0.04 } ]
    ... '''
    >>> try:
    ...     run(disc)
    ... except CaseError as error:
    ...     print(error.line, error.key, "|", error.hint)
    3 thicknes | did you mean `thickness`?
    """
    path, text = None, ""
    if isinstance(case, Mapping):
        text = to_toml(case)
    elif isinstance(case, str) and "\n" in case:
        text = case
    else:
        path = os.fspath(case)
    told = _Told(on_increment) if progress and sys.stderr.isatty() else None
    callback = told or on_increment
    try:
        files, failure = _hoopset.run(path, text, "case.toml", callback)
    finally:
        if told:
            told.end()
    result = Result(Files(files))
    if failure is not None:
        stage, message, hint = failure
        raise StageError(stage, message, hint, result)
    return result


def read(folder: Union[str, "os.PathLike[str]"]) -> Result:
    """Results that the command ``hoopset run`` has written into ``folder``.

    Raises
    ------
    FileNotFoundError
        When that is no results folder.
    """
    where = Path(folder)
    if not (where / "summary.json").is_file():
        raise FileNotFoundError(f"`{where}` is no results folder: it has no summary.json")
    return Result(Files(where))


class _Told:
    """One line on standard error that tells how far a run is."""

    def __init__(self, further: Optional[Callable[[dict[str, Any]], object]]) -> None:
        self._further = further

    def __call__(self, record: dict[str, Any]) -> None:
        line = f"{record['stage']} {record['phase']} {100 * record['share']:3.0f} %"
        sys.stderr.write(f"\r{line:40}")
        sys.stderr.flush()
        if self._further is not None:
            self._further(record)

    def end(self) -> None:
        sys.stderr.write(f"\r{'':40}\r")
        sys.stderr.flush()
