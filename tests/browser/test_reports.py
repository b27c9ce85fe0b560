"""Every report in a real browser: for everyone to read, on paper, with its tables as files.

Set HOOPSET to the program. Needs pytest, websockets and the program `chromium`; skipped without. Paper is looked at
with pypdf where that is installed. SHOTS=FOLDER keeps pictures and printed pages.
"""

import base64
import csv
import io
import math
import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

websockets = pytest.importorskip("websockets", reason="the package websockets is not installed")
from chromium import PROGRAM as BROWSER  # noqa: E402
from chromium import Chromium  # noqa: E402

HOOPSET = os.environ.get("HOOPSET") or shutil.which("hoopset")
SHOTS = os.environ.get("SHOTS")
ROOT = Path(__file__).resolve().parents[2]

pytestmark = [
    pytest.mark.skipif(BROWSER is None, reason="no program `chromium` on this machine"),
    pytest.mark.skipif(HOOPSET is None, reason="HOOPSET does not name the program"),
]

RECORD = ["--number", "HP-104", "--revision", "B", "--date", "2031-04-09"]
COARSE = "\n[numerics]\nfineness = 0.5\n"
SECTION = """
units = "mm-MPa"
plate = { outer_diameter = 30.0, thickness = 3.0, idealisation = "section", alloy = "2024-T351 plate" }
hole = [ { name = "A", starting_diameter = 5.70 } ]
stage = [ { draw = "A", mandrel_diameter = 5.52, sleeve_thickness = 0.20, friction = 0.05 }, { ream = "A", diameter = 6.0 } ]
numerics = { fineness = 0.5 }
"""
STUDY = """
title = "Expansion"
case = "case.toml"
axis = [ { name = "expansion", key = "stage.1.applied_expansion", values = [0.03, 0.04] } ]
number = [ { name = "edge", measure = "edge_hoop" } ]
"""
LIFE = (ROOT / "examples/is_it_worth_it.toml").read_text()
DEMO = (ROOT / "src/case/demo.toml").read_text()

DISC = """
units = "mm-MPa"
plate = { outer_diameter = 48, thickness = 4, alloy = "2024-T351 plate" }
hole = [ { name = "A", starting_diameter = 6 } ]
stage = [ { expand = "A", applied_expansion = 0.04 } ]
numerics = { fineness = 0.25, increments = 6, hardening_bracket = false }
"""
UNKNOWN = """
[[measured]]
file = "points.csv"
gauge_length = 0.5

[[unknown]]
name = "kinematic_share"

[[unknown]]
name = "applied_expansion"
"""
#: Residual hoop stress in MPa against distance in mm: invented, of the size that such a disc has.
POINTS = "distance,hoop,plus_minus\n" + "".join(
    f"{x},{-300 * math.exp(-x / 1.8) + 40 * math.exp(-x / 9):.1f},8\n" for x in (0.5, 0.9, 1.4, 2.0, 2.8, 4.0, 6.0)
)
METAL = """
title = "A bar"
units = "mm-MPa"
[metal]
poissons_ratio = 0.33
kinematic_terms = 1
[[test]]
file = "loop.csv"
measure = "true"
"""


def loop():
    """An invented bar of 300 MPa with linear kinematic hardening that fades: strain and stress along a loop."""
    young, limit, modulus, recall = 70000.0, 300.0, 6000.0, 40.0
    strain = plastic = back = 0.0
    rows = ["strain,stress\n"]
    for turn in (0.03, -0.03, 0.03):
        way = turn - strain
        for _ in range(60):
            strain += way / 60
            for _ in range(200):
                trial = young * (strain - plastic) - back
                over = abs(trial) - limit
                if over <= 1e-6:
                    break
                sign = math.copysign(1.0, trial)
                flow = 0.5 * over / (young + modulus)
                plastic += sign * flow
                back += modulus * sign * flow - recall * back * flow
            rows.append(f"{strain:.6f},{young * (strain - plastic):.3f}\n")
    return "".join(rows)


LOTS = ROOT / "examples/shop"
#: The shipped lot on few coarse solutions.
LOT = {
    "hinge-lot.toml": (LOTS / "hinge-lot.toml").read_text() + "\n[surrogate]\nexpansions = 3\nreams = 2\nchecks = 4\n",
    "hinge-lot.csv": (LOTS / "hinge-lot.csv").read_text(),
    "hinge-plate.toml": (LOTS / "hinge-plate.toml").read_text() + "\n[numerics]\nfineness = 0.5\nincrements = 6\n",
}


#: Report, command that makes it, file that it is made from, and where it is then.
REPORTS = {
    "run": (["run", "case.toml"], {"case.toml": DEMO + COARSE + "idealisations = true\n"}, "case-results/report.html"),
    "life": (["life", "life.toml"], {"life.toml": LIFE}, "life-life/life.html"),
    "section": (["section", "section.toml"], {"section.toml": SECTION}, "section-section/section.html"),
    "toolsheet": (["toolsheet", "sheet.toml"], {}, "sheet-toolsheet/toolsheet.html"),
    "study": (["study", "study.toml"], {"study.toml": STUDY, "case.toml": None}, "study-study/study.html"),
    "beside": (
        ["section", "plate.toml"],
        {"plate.toml": DEMO.replace("idealisation = ", "# idealisation = ") + COARSE + "[section]\nfriction = 0.05\nland = 3.0\n"},
        "plate-section/section.html",
    ),
    "metal": (["metal", "bar.toml"], {"bar.toml": METAL, "loop.csv": loop()}, "bar-metal/metal.html"),
    "infer": (["infer", "disc.toml"], {"disc.toml": DISC + UNKNOWN, "points.csv": POINTS}, "disc-infer/infer.html"),
    "compare": (
        ["compare", "a-results", "b-results"],
        {"a.toml": DISC, "b.toml": DISC.replace("0.04", "0.03")},
        "comparison/report.html",
    ),
    "shop": (["shop", "hinge-lot.toml"], LOT, "hinge-lot-shop/shop.html"),
    "verify": (["verify", "--only", "lame", "--out", "book"], {}, "book/book.html"),
}


@pytest.fixture(scope="module", params=list(REPORTS))
def report(request, tmp_path_factory):
    """Name of a report and its file."""
    command, files, place = REPORTS[request.param]
    where = tmp_path_factory.mktemp(request.param)
    for name, text in files.items():
        if text is None:
            text = DEMO.replace("mandrel_diameter = 5.52\nsleeve_thickness = 0.20", "applied_expansion = 0.04") + COARSE
        (where / name).write_text(text)
    if request.param == "compare":
        for case in files:
            subprocess.run([HOOPSET, "run", case], cwd=where, check=True, capture_output=True)
    if request.param == "toolsheet":
        subprocess.run([HOOPSET, "starter", "--sheet", "sheet.toml"], cwd=where, check=True, capture_output=True)
    run = subprocess.run([HOOPSET, *command, *RECORD], cwd=where, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    return request.param, where / place


@pytest.fixture
def page(report):
    name, file = report
    with Chromium() as browser:
        browser.open(file.as_uri())
        browser.wait("document.readyState === 'complete'")
        yield name, browser
        assert browser.trouble == [], "the console has errors"


def test_nothing_serious_stands_in_the_way_of_anyone(page):
    """The rules of axe-core (WCAG 2.1 A and AA)."""
    name, browser = page
    axe = pytest.importorskip("axe_core_python", reason="the package axe-core-python is not installed")
    browser.run("document.querySelectorAll('details').forEach((part) => { part.open = true; })")
    browser.run((Path(axe.__file__).parent / "axe.min.js").read_text() + ";0")
    found = browser.run("axe.run().then((r) => r.violations.map((v) => [v.id, v.impact, v.nodes.map((n) => n.html)]))")
    serious = [v for v in found if v[1] in ("serious", "critical")]
    assert serious == [], serious
    if SHOTS:
        browser.picture(Path(SHOTS) / f"report-{name}.png", whole=True)


def test_a_narrow_screen_shows_all_of_it(page):
    _, browser = page
    browser.size(390, 844, 2, mobile=True)
    assert browser.run("document.documentElement.scrollWidth <= innerWidth + 1")


def test_every_table_can_be_saved(page):
    _, browser = page
    links = browser.run(
        "[...document.querySelectorAll('a[download]')].filter((a) => a.href.startsWith('data:'))"
        ".map((a) => [a.download, a.href])"
    )
    assert links
    for name, address in links:
        assert re.fullmatch(r"[A-Za-z0-9-]+\.csv", name), name
        rows = list(csv.reader(io.StringIO(base64.b64decode(address.split(",", 1)[1]).decode())))
        assert len(rows) > 1 and len({len(row) for row in rows}) == 1, name
    browser.run("document.querySelector('a[download][href^=\"data:\"]').click()")
    assert browser.downloaded(links[0][0]) == base64.b64decode(links[0][1].split(",", 1)[1])
    # The tables that say something of a case; those of identity and signatures do not.
    tables = browser.run(
        "[...document.querySelectorAll('table:not(.facts, .sign)')].filter((t) => t.tHead && !t.closest('#cases')).length"
    )
    assert tables == len(links)


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_with_numbered_pages(page, paper, tmp_path):
    name, browser = page
    pypdf = pytest.importorskip("pypdf", reason="the package pypdf is not installed")
    size = {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}[paper]
    file = Path(SHOTS or tmp_path) / f"report-{name}-{paper}.pdf"
    browser.paper(file, *size)
    sheets = pypdf.PdfReader(file).pages
    assert 1 < len(sheets) < 60
    for number, sheet in enumerate(sheets, 1):
        words = " ".join(sheet.extract_text().split())
        assert f"page {number} of {len(sheets)}" in words, words[:300]
        assert "No. HP-104 · rev. B · 2031-04-09" in words, words[:300]
        width, height = (float(side) / 72 for side in sheet.mediabox[2:])
        assert (width, height) == pytest.approx(size, abs=0.01)
    assert "Approved" in " ".join(sheet.extract_text() for sheet in sheets)


def test_it_begins_with_what_is_signed(page):
    name, browser = page
    words = browser.run("document.body.textContent")
    assert "HP-104" in words and "2031-04-09" in words
    assert re.search(r"SHA-256\s*[0-9a-f]{64}", words)
    for role in ("Prepared", "Checked", "Approved"):
        assert role in words
    assert "mesh, increments" in words and "hardening" in words and "idealisation" in words
    if name not in ("verify", "metal", "infer", "compare"):
        assert browser.run("document.querySelector('img').naturalWidth") > 300


@pytest.fixture(scope="module")
def inspector(tmp_path_factory):
    """The inspector's sheet of the shipped lot."""
    where = tmp_path_factory.mktemp("inspector")
    for name, text in LOT.items():
        (where / name).write_text(text)
    run = subprocess.run([HOOPSET, "shop", "hinge-lot.toml", *RECORD], cwd=where, capture_output=True, text=True)
    assert run.returncode == 0, run.stderr
    return where / "hinge-lot-shop/inspector.html"


def test_the_sheet_of_the_shop_inspector_is_one_page_for_everyone(inspector, tmp_path):
    """Axe-core, a narrow screen, one page of either paper, and what must stand on it."""
    with Chromium() as browser:
        browser.open(inspector.as_uri())
        browser.wait("document.readyState === 'complete'")
        words = browser.run("document.body.textContent")
        assert "HP-104" in words and "> 99 %" in words and " 100 %" not in words
        assert re.search(r"SHA-256\s*[0-9a-f]{64}", words)
        if SHOTS:
            browser.picture(Path(SHOTS) / "report-inspector.png", whole=True)
        axe = pytest.importorskip("axe_core_python", reason="the package axe-core-python is not installed")
        browser.run((Path(axe.__file__).parent / "axe.min.js").read_text() + ";0")
        found = browser.run("axe.run().then((r) => r.violations.map((v) => [v.id, v.impact, v.nodes.map((n) => n.html)]))")
        assert [v for v in found if v[1] in ("serious", "critical")] == []
        browser.size(390, 844, 2, mobile=True)
        assert browser.run("document.documentElement.scrollWidth <= innerWidth + 1")
        assert browser.trouble == [], "the console has errors"
    pypdf = pytest.importorskip("pypdf", reason="the package pypdf is not installed")
    for paper, size in {"A4": (8.27, 11.69), "Letter": (8.5, 11.0)}.items():
        file = Path(SHOTS or tmp_path) / f"report-inspector-{paper}.pdf"
        with Chromium() as browser:
            browser.open(inspector.as_uri())
            browser.wait("document.readyState === 'complete'")
            browser.paper(file, *size)
        assert len(pypdf.PdfReader(file).pages) == 1, paper
