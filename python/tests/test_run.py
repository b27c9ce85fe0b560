"""The module against the command line and against closed forms. The program is named by HOOPSET."""

import csv
import io
import math
import os
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import numpy as np
import pytest

import hoopset

ROOT = Path(os.environ.get("ROOT_OF_REPOSITORY") or Path(__file__).resolve().parents[2])
PROGRAM = os.environ.get("HOOPSET") or shutil.which("hoopset")

CASE = {
    "title": "Edge hole, coarse",
    "units": "mm-MPa",
    "plate": {"width": 40.0, "height": 40.0, "thickness": 5.0, "alloy": "2024-T351 plate"},
    "hole": [{"name": "A", "at": [14.0, 20.0], "starting_diameter": 5.7, "paths": np.array([45.0])}],
    "stage": [
        {"expand": "A", "mandrel_diameter": 5.52, "sleeve_thickness": 0.2},
        {"ream": "A", "diameter": 6.0},
        {"load": {"tension": np.float64(80.0), "along": "y"}, "load_ratio": 0.1, "cycles": 2},
    ],
    "numerics": {"fineness": 0.4, "increments": 6, "idealisations": True},
}

needs_program = pytest.mark.skipif(PROGRAM is None, reason="HOOPSET does not name the program")


@pytest.fixture(scope="module")
def result():
    return hoopset.run(CASE)


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    where = tmp_path_factory.mktemp("case")
    (where / "case.toml").write_text(hoopset.to_toml(CASE))
    subprocess.run([PROGRAM, "run", "case.toml"], cwd=where, check=True, capture_output=True)
    return where / "case-results"


@needs_program
def test_every_file_has_the_bytes_of_the_command_line(result, folder):
    assert len(result.files) > 8
    for name in result.files:
        assert result.files[name] == (folder / name).read_bytes(), name


def test_tables_have_the_last_bit_of_the_files(result):
    rows = list(csv.DictReader(io.StringIO(result.files["paths.csv"].decode())))
    for name in ("distance", "hoop", "hoop_jump"):
        assert result.paths[name].tolist() == [float(row[name]) for row in rows], name


@needs_program
def test_a_folder_of_the_command_line_is_read(result, folder):
    read = hoopset.read(folder)
    assert read.stage_labels == result.stage_labels
    assert read.complete and read.title == "Edge hole, coarse"
    assert read.headlines.equals(result.headlines)
    for one, other in zip(read.stages, result.stages):
        for name, values in one.fields.items():
            assert np.array_equal(values, other.fields[name]), name


def test_fields_paths_and_headlines_belong_together(result):
    stage = result["2-ream-A"]
    count = len(stage.nodes)
    assert stage.nodes.shape == (count, 2)
    assert all(len(values) == count for values in stage.fields.values())
    assert stage.quads.shape[1] == 8 and stage.triangles.shape[1] == 6
    assert stage.flat_triangles.max() == count - 1
    assert not stage.loaded and result["1-expand-A-full"].loaded
    # The area of the plate less the hole, from the flat triangles: the chords of the circle are short.
    corners = stage.nodes[stage.flat_triangles]
    first, second = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = 0.5 * (first[:, 0] * second[:, 1] - first[:, 1] * second[:, 0])
    assert (area > 0).all()
    copies = result.summary["mesh"]["symmetry_copies"]
    # The cut is made in the part as it stands; in the drawing it is a little smaller than 6 mm.
    assert copies * area.sum() == pytest.approx(40.0**2 - math.pi * 2.95**2, abs=2.0)
    path = stage.path("A", 45.0)
    row = stage.headlines[stage.headlines["angle_deg"] == 45.0].iloc[0]
    assert path["hoop"].iloc[0] == row["edge_hoop"]
    assert path["distance"].is_monotonic_increasing
    with pytest.raises(KeyError, match="no path of hole A at 44"):
        stage.path("A", 44.0)
    with pytest.raises(KeyError, match="no stage '9'"):
        result["9"]


def test_an_elastic_ring_has_the_stresses_of_lame():
    """Source: G. Lamé (1852), thick cylinder under internal pressure, from memory."""
    inner, outer, pressure = 3.0, 15.0, 40.0
    result = hoopset.run(
        {
            "units": "mm-MPa",
            "plate": {"outer_diameter": 2 * outer, "thickness": 3.0, "idealisation": "plane stress"},
            "material": {"youngs_modulus": 72000.0, "poissons_ratio": 0.33, "yield_stress": 3000.0},
            "hole": [{"name": "A", "starting_diameter": 2 * inner}],
            "stage": [{"load": {"pressure": pressure, "hole": "A"}}],
            "numerics": {"hardening_bracket": False, "strains": "small"},
        }
    )
    path = result.stages[0].path("A", 0.0)
    radius = inner + path["distance"]
    scale = pressure * inner**2 / (outer**2 - inner**2)
    # One per mille of the pressure: the recovery of the default mesh.
    assert np.abs(path["hoop"] - scale * (1 + outer**2 / radius**2)).max() < 1e-3 * pressure
    assert np.abs(path["radial"] - scale * (1 - outer**2 / radius**2)).max() < 2e-3 * pressure


def test_mistakes_are_exceptions_with_line_and_hint(tmp_path):
    text = (ROOT / "src/case/demo.toml").read_text().replace("mandrel_diameter", "mandrel_diametre")
    with pytest.raises(hoopset.CaseError) as caught:
        hoopset.run(text)
    error = caught.value
    line = text.splitlines().index(next(t for t in text.splitlines() if "diametre" in t)) + 1
    assert (error.line, error.column, error.key) == (line, 1, "mandrel_diametre")
    assert error.hint == "did you mean `mandrel_diameter`?"
    assert isinstance(error, ValueError) and "hint: " in str(error)
    with pytest.raises(hoopset.CaseError, match="there is no such file"):
        hoopset.run(tmp_path / "none.toml")
    with pytest.raises(TypeError, match="is None"):
        hoopset.run({**CASE, "title": None})
    with pytest.raises(TypeError, match="set is nothing"):
        hoopset.run({**CASE, "title": {"a"}})
    with pytest.raises(FileNotFoundError, match="no results folder"):
        hoopset.read(tmp_path)


def test_a_stage_that_fails_keeps_what_came_before():
    case = {**CASE, "stage": [*CASE["stage"][:1], {"ream": "A", "diameter": 5.86}]}
    case["numerics"] = {"fineness": 0.4, "increments": 6, "hardening_bracket": False}
    with pytest.raises(hoopset.StageError) as caught:
        hoopset.run(case)
    assert caught.value.stage == "2-ream-A" and caught.value.hint
    kept = caught.value.result
    assert kept.stage_labels == ["1-expand-A-full", "1-expand-A"] and not kept.complete
    assert kept.last.headlines["edge_hoop"].max() < 0.0


def test_increments_come_by_callback_and_other_threads_go_on():
    seen = []
    ticks = []
    done = threading.Event()

    def tick():
        while not done.is_set():
            ticks.append(time.perf_counter())
            time.sleep(0.001)

    thread = threading.Thread(target=tick)
    thread.start()
    try:
        result = hoopset.run(CASE, on_increment=seen.append)
    finally:
        done.set()
        thread.join()
    assert [r["increment"] for r in seen] == list(range(1, len(seen) + 1))
    assert len(result.history) == len(seen)
    assert np.allclose(result.history["mean_pressure"], [r["mean_pressure"] for r in seen], rtol=1e-11)
    # A lock held for the whole run would leave no tick in between.
    assert max(b - a for a, b in zip(ticks, ticks[1:])) < 0.5 * (ticks[-1] - ticks[0])
    assert len(ticks) > 20


def test_what_a_callback_raises_ends_the_run():
    class Enough(Exception):
        pass

    def stop(record):
        if record["increment"] == 3:
            raise Enough

    with pytest.raises(Enough):
        hoopset.run(CASE, on_increment=stop)


@pytest.mark.skipif(sys.platform == "win32", reason="signals of a terminal")
def test_an_interrupt_is_heard_within_a_second():
    fine = "import hoopset; hoopset.run(%r, on_increment=lambda r: print(r['increment'], flush=True))"
    case = hoopset.to_toml({**CASE, "numerics": {"fineness": 1.5, "increments": 200}})
    with subprocess.Popen(
        [sys.executable, "-c", fine % case], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        process.stdout.readline()
        began = time.monotonic()
        process.send_signal(signal.SIGINT)
        _, told = process.communicate(timeout=60)
        took = time.monotonic() - began
    assert "KeyboardInterrupt" in told
    # One second, and the time that a busy machine takes to end Python.
    assert took < 3.0, took


def test_results_are_saved_and_read_again(result, tmp_path):
    where = result.save(tmp_path / "kept")
    assert hoopset.read(where).paths.equals(result.paths)
    with pytest.raises(FileExistsError):
        result.save(where)
