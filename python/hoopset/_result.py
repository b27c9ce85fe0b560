"""Results of a run as arrays and tables, from memory or from a folder of the command line."""

from __future__ import annotations

import base64
import io
import json
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

#: From this version on the reader of tables gives the last bit without being asked, and warns when asked.
_EXACT_BY_DEFAULT = int(pd.__version__.split(".")[0]) >= 3

_TYPES = {"Float64": "<f8", "Int64": "<i8", "Int32": "<i4", "UInt8": "u1"}

#: Numbers of nodes of the two kinds of elements, by their VTK number.
_CELLS = {23: 8, 22: 6}


class Files(Mapping[str, bytes]):
    """The files of a results folder, by name."""

    def __init__(self, found: dict[str, bytes] | Path) -> None:
        self._found = found

    def __getitem__(self, name: str) -> bytes:
        if isinstance(self._found, dict):
            return self._found[name]
        try:
            return (self._found / name).read_bytes()
        except FileNotFoundError:
            raise KeyError(name) from None

    def __iter__(self) -> Iterator[str]:
        if isinstance(self._found, dict):
            yield from self._found
        else:
            for file in sorted(self._found.rglob("*")):
                if file.is_file():
                    yield file.relative_to(self._found).as_posix()

    def __len__(self) -> int:
        return sum(1 for _ in self)


def _grid(data: bytes) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
    """Points and cells of a ``.vtu`` file as this program writes it, and its fields."""
    piece = ElementTree.fromstring(data).find("UnstructuredGrid/Piece")
    if piece is None:
        raise ValueError("this is no grid of unstructured cells")

    def array(entry: ElementTree.Element) -> np.ndarray:
        raw = base64.b64decode((entry.text or "").strip())
        # Eight bytes say how long the rest is.
        values = np.frombuffer(raw, dtype=_TYPES[entry.attrib["type"]], offset=8)
        components = int(entry.attrib.get("NumberOfComponents", "1"))
        return values.reshape(-1, components) if components > 1 else values

    def part(name: str) -> dict[str, np.ndarray]:
        found = piece.find(name)
        return {} if found is None else {e.attrib.get("Name", ""): array(e) for e in found}

    grid = {"points": next(iter(part("Points").values())), **part("Cells")}
    return grid, part("PointData")


class Stage:
    """The state after one phase of the work.

    Attributes
    ----------
    label : str
        For example ``1-expand-A-full`` or ``2-ream-A``.
    """

    def __init__(self, result: Result, label: str) -> None:
        self._result = result
        self.label = label

    def __repr__(self) -> str:
        return f"<Stage {self.label}>"

    @property
    def summary(self) -> dict[str, Any]:
        """The numbers of the stage, as in ``summary.json``."""
        return self._result.summary["stages"][self.label]

    @property
    def loaded(self) -> bool:
        """Whether tool, pin or load act, so that the stresses are not residual."""
        rows = self.headlines
        return bool(len(rows)) and not bool(rows["residual"].iloc[0])

    @property
    def headlines(self) -> pd.DataFrame:
        """One row a path."""
        return self._of(self._result.headlines)

    @property
    def paths(self) -> pd.DataFrame:
        """One row a point of a path."""
        return self._of(self._result.paths)

    def path(self, hole: str, angle: float) -> pd.DataFrame:
        """The path that leaves ``hole`` at ``angle``, degrees counter-clockwise from +x."""
        rows = self.paths
        found = rows[(rows["hole"] == hole) & np.isclose(rows["angle_deg"], angle % 360.0)]
        if found.empty:
            known = rows[["hole", "angle_deg"]].drop_duplicates().itertuples(index=False)
            raise KeyError(f"no path of hole {hole} at {angle}; there are {[tuple(k) for k in known]}")
        return found.reset_index(drop=True)

    def _of(self, table: pd.DataFrame) -> pd.DataFrame:
        return table[table["stage"] == self.label].reset_index(drop=True)

    @cached_property
    def _nodes(self) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
        return _grid(self._result.files[f"fields/{self.label}.vtu"])

    @cached_property
    def _points(self) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray]]:
        return _grid(self._result.files[f"fields/{self.label}-points.vtu"])

    @property
    def nodes(self) -> np.ndarray:
        """Positions in the drawing, shape ``(nodes, 2)``."""
        return self._nodes[0]["points"][:, :2]

    def _cells(self, kind: int) -> np.ndarray:
        grid = self._nodes[0]
        ends = grid["offsets"]
        size = _CELLS[kind]
        starts = ends[grid["types"] == kind] - size
        return grid["connectivity"][starts[:, None] + np.arange(size)]

    @property
    def quads(self) -> np.ndarray:
        """Nodes of the quadrilaterals, shape ``(quadrilaterals, 8)``: corners, then mid-side nodes."""
        return self._cells(23)

    @property
    def triangles(self) -> np.ndarray:
        """Nodes of the triangles, shape ``(triangles, 6)``: corners, then mid-side nodes."""
        return self._cells(22)

    @property
    def flat_triangles(self) -> np.ndarray:
        """Straight triangles between all nodes, shape ``(count, 3)``, for a plotting library."""
        quad = [[0, 4, 7], [4, 1, 5], [5, 2, 6], [6, 3, 7], [4, 5, 7], [5, 6, 7]]
        triangle = [[0, 3, 5], [3, 1, 4], [4, 2, 5], [3, 4, 5]]
        parts = [self.quads[:, quad].reshape(-1, 3), self.triangles[:, triangle].reshape(-1, 3)]
        return np.concatenate(parts)

    @property
    def fields(self) -> dict[str, np.ndarray]:
        """Values at the nodes, by name; the first index is that of the node."""
        return self._nodes[1]

    @property
    def point_fields(self) -> dict[str, np.ndarray]:
        """Values at the integration points, as computed, by name; ``position`` among them."""
        grid, fields = self._points
        return {"position": grid["points"][:, :2], **fields}


class Result:
    """A run: numbers and tables in the units of the case, tension positive."""

    def __init__(self, files: Files) -> None:
        self.files = files

    def __repr__(self) -> str:
        return f"<Result {self.title!r}: {', '.join(self.stage_labels)}>"

    @cached_property
    def summary(self) -> dict[str, Any]:
        """The whole of ``summary.json``."""
        return json.loads(self.files["summary.json"])

    @property
    def title(self) -> str:
        """Title of the case."""
        return self.summary["title"]

    @property
    def complete(self) -> bool:
        """Whether every stage is finished."""
        return self.summary["complete"]

    @property
    def warnings(self) -> list[str]:
        """What a reader should look at."""
        return self.summary["warnings"]

    @property
    def units(self) -> dict[str, str]:
        """Names of the units."""
        return self.summary["units"]

    @property
    def stage_labels(self) -> list[str]:
        """Labels of the stages, in order."""
        return list(self.summary["stages"])

    @cached_property
    def stages(self) -> list[Stage]:
        """The states after every phase, in order."""
        return [Stage(self, label) for label in self.stage_labels]

    def __getitem__(self, label: str) -> Stage:
        for stage in self.stages:
            if stage.label == label:
                return stage
        raise KeyError(f"no stage {label!r}; there are {self.stage_labels}")

    @property
    def last(self) -> Stage:
        """The last state."""
        return self.stages[-1]

    def _table(self, name: str) -> pd.DataFrame:
        exact = {} if _EXACT_BY_DEFAULT else {"float_precision": "round_trip"}
        return pd.read_csv(io.BytesIO(self.files[name]), dtype={"hole": str}, **exact)

    @cached_property
    def headlines(self) -> pd.DataFrame:
        """Headline numbers, one row a stage and path, as in ``headlines.csv``."""
        return self._table("headlines.csv")

    @cached_property
    def paths(self) -> pd.DataFrame:
        """Stresses along the paths of all stages, as in ``paths.csv``."""
        return self._table("paths.csv")

    @cached_property
    def history(self) -> pd.DataFrame:
        """One row an increment, as in ``history.csv``."""
        return self._table("history.csv")

    def columns(self, file: str) -> pd.DataFrame:
        """Meaning and unit of the columns of ``file``, for example ``"paths.csv"``."""
        return pd.DataFrame(self.summary["columns"][file])

    def save(self, folder: str | Path) -> Path:
        """Writes the files into ``folder``, which must not exist; the command line and :func:`read` take it."""
        target = Path(folder)
        target.mkdir(parents=True)
        for name in self.files:
            file = target / name
            file.parent.mkdir(exist_ok=True)
            file.write_bytes(self.files[name])
        return target
