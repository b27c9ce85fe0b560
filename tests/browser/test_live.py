"""The live page in a real browser, against the command line.

Set HOOPSET to the program. Needs pytest, websockets and the program `chromium`; skipped without. SHOTS=FOLDER keeps
pictures of the page.
"""

import csv
import io
import json
import os
import re
import shutil
import statistics
import subprocess
import time
from pathlib import Path

import pytest

websockets = pytest.importorskip("websockets", reason="the package websockets is not installed")
from chromium import PROGRAM as BROWSER  # noqa: E402
from chromium import Chromium  # noqa: E402

HOOPSET = os.environ.get("HOOPSET") or shutil.which("hoopset")
SHOTS = os.environ.get("SHOTS")
ROOT = Path(__file__).resolve().parents[2]
FLOOD = float(os.environ.get("FLOOD_SECONDS", "60"))

pytestmark = [
    pytest.mark.skipif(BROWSER is None, reason="no program `chromium` on this machine"),
    pytest.mark.skipif(HOOPSET is None, reason="HOOPSET does not name the program"),
]


@pytest.fixture(scope="module")
def server():
    process = subprocess.Popen([HOOPSET, "live"], stdout=subprocess.PIPE, text=True)
    yield process.stdout.readline().strip(), process.pid
    began = time.monotonic()
    process.send_signal(2)
    assert process.wait(10) == 0
    assert time.monotonic() - began < 1.0, "an interrupt ends it within a second"


@pytest.fixture(scope="module")
def course():
    process = subprocess.Popen(
        [HOOPSET, "live", "--lesson", "spring_back"], stdout=subprocess.PIPE, text=True
    )
    yield process.stdout.readline().strip()
    process.send_signal(2)
    process.wait(10)


SECTION = """
[section]
friction = 0.05
land = 3.0
support = { inner_diameter = 9.0, outer_diameter = 18.0 }
"""
#: Full answers of a draw take a quarter of a minute; half the fineness is enough to compare numbers.
QUICK = (ROOT / "src/case/demo.toml").read_text() + "\n[numerics]\nfineness = 0.5\nhardening_bracket = false\n" + SECTION


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    """The demonstration with a section."""
    folder = tmp_path_factory.mktemp("drawn")
    (folder / "hinge.toml").write_text(QUICK)
    process = subprocess.Popen([HOOPSET, "live", "hinge.toml"], cwd=folder, stdout=subprocess.PIPE, text=True)
    yield process.stdout.readline().strip()
    process.send_signal(2)
    process.wait(10)


@pytest.fixture
def page(server):
    with Chromium() as browser:
        browser.open(server[0])
        full(browser)
        yield browser
        assert browser.trouble == [], "the console has errors"


def full(browser, seconds=120):
    """Waits for the full answer, or for the message that there is none."""
    done = "/^(full|failed)/.test(document.body?.dataset.shown) && !document.body.dataset.busy"
    browser.wait(done, seconds)
    assert browser.run("document.getElementById('trouble').hidden"), browser.run(
        "document.getElementById('trouble').textContent"
    )


def shoot(browser, name, whole=False):
    if SHOTS:
        browser.picture(Path(SHOTS) / f"{name}.png", whole)


SET = """(([id, value, settled]) => {
  const bar = document.getElementById(`control-${id}-bar`);
  bar.value = value;
  bar.dispatchEvent(new Event('input', { bubbles: true }));
  if (settled) bar.dispatchEvent(new Event('change', { bubbles: true }));
})"""


def move(browser, control, value, settled=True):
    browser.run(f"{SET}({json.dumps([control, value, settled])})")


def run_program(text, folder):
    (folder / "kept.toml").write_bytes(text)
    subprocess.run([HOOPSET, "run", "kept.toml"], cwd=folder, check=True, capture_output=True)
    return folder / "kept-results"


def shown_numbers(browser):
    """The cells of the headline table as `[path, { column: value }]`."""
    return browser.run(
        "[...document.querySelectorAll('#headlines tbody tr')].map((row) => [row.cells[0].textContent, "
        "Object.fromEntries([...row.cells].slice(1).map((c) => [c.dataset.key, c.dataset.value]))])"
    )


def test_driven_sliders_give_the_numbers_of_the_command_line(page, tmp_path):
    move(page, "expansion:1", 3.46)
    move(page, "margin", 1.8)
    page.run("{ const s = document.getElementById('control-plate.idealisation'); s.value = 'plane strain';"
             " s.dispatchEvent(new Event('change')); }")
    full(page)
    page.run("document.getElementById('keep-case').click()")
    results = run_program(page.downloaded("demo-live.toml"), tmp_path)
    for table in ("headlines", "paths"):
        page.run(f"document.getElementById('keep-{table}').click()")
        assert page.downloaded(f"demo-{table}.csv") == (results / f"{table}.csv").read_bytes()
    rows = list(csv.DictReader(io.StringIO((results / "headlines.csv").read_text())))
    last = [row for row in rows if row["stage"] == "2-ream-A"]
    shown = shown_numbers(page)
    assert len(shown) == len(last)
    for (_, cells), row in zip(shown, last):
        assert cells == {key: row[key] for key in cells}
    assert float(last[0]["applied_expansion"]) == pytest.approx(0.0346, abs=1e-6)
    shoot(page, "driven", whole=True)
    # Undo, three steps, leads back to the case as it was read.
    for _ in range(3):
        page.run("document.getElementById('undo').click()")
    full(page)
    assert page.run("document.querySelectorAll('.control.moved').length") == 0
    assert page.run("document.getElementById('undo').disabled")


def cores_at_hand():
    """The share of two cores that two busy processes get."""
    busy = "import time; e = time.time() + 0.5\nwhile time.time() < e: pass\nprint(time.process_time())"
    both = [subprocess.Popen(["python3", "-c", busy], stdout=subprocess.PIPE) for _ in range(2)]
    return sum(float(p.communicate()[0]) for p in both) / 1.0


def test_a_coarse_answer_is_there_within_150_ms_of_a_move(page):
    free = cores_at_hand()
    times = []
    for k in range(15):
        page.run("document.body.dataset.coarse = ''")
        move(page, "expansion:1", 3.0 + 0.1 * k)
        times.append(int(page.wait("document.body.dataset.coarse", 20)))
    print("coarse, ms:", sorted(times))
    # Whatever else runs on this machine can only make it slower.
    usual = statistics.median(times)
    if usual >= 150 and min(free, cores_at_hand()) < 0.9:
        pytest.skip(f"two cores are not free here; measured {sorted(times)} ms")
    assert usual < 150, times


def memory(pid):
    status = Path(f"/proc/{pid}/status").read_text()
    return int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1024


def heap(browser):
    browser.run("globalThis.gc?.()")
    return browser.run("performance.memory.usedJSHeapSize") / 2**20


def test_twenty_changes_a_second_leave_no_growth_and_the_last_answer_right(page, server, tmp_path):
    drive = """(async (seconds) => {
      const set = %s;
      const end = performance.now() + 1000 * seconds;
      for (let k = 0; performance.now() < end; k++) {
        set(['expansion:1', 2 + 0.02 * (k %% 150), k %% 20 === 19]);
        await new Promise((resolve) => setTimeout(resolve, 50));
      }
      set(['expansion:1', 4.44, true]);
    })""" % SET
    page.run(f"{drive}({FLOOD / 4})", timeout=200)
    full(page)
    before = (memory(server[1]), heap(page))
    page.run(f"{drive}({FLOOD})", timeout=FLOOD + 60)
    full(page)
    after = (memory(server[1]), heap(page))
    print("MB of program and page, before and after:", before, after)
    assert after[0] < before[0] + 40, "the program grows"
    assert after[1] < before[1] + 15, "the page grows"
    page.run("document.getElementById('keep-case').click()")
    results = run_program(page.downloaded("demo-live.toml"), tmp_path)
    rows = list(csv.DictReader(io.StringIO((results / "headlines.csv").read_text())))
    last = [row["edge_hoop"] for row in rows if row["stage"] == "2-ream-A"]
    assert [cells["edge_hoop"] for _, cells in shown_numbers(page)] == last
    assert float(rows[-1]["applied_expansion"]) == pytest.approx(0.0444, abs=1e-6)


def test_a_state_that_cannot_be_solved_says_why_and_the_rest_goes_on(page):
    page.run("{ const f = document.getElementById('control-stage.2.diameter'); f.value = '5.5';"
             " f.dispatchEvent(new Event('change')); }")
    page.wait("!document.getElementById('trouble').hidden")
    words = page.run("document.getElementById('trouble').textContent")
    assert re.search(r"error: demo\.toml:\d+:\d+: .*hint: ", words, re.S), words
    shoot(page, "trouble", whole=True)
    page.run("document.getElementById('undo').click()")
    full(page)
    assert page.run("document.getElementById('trouble').hidden")


def test_everything_works_by_keyboard(page):
    page.run("document.getElementById('control-expansion:1-bar').focus()")
    before = float(page.run("document.getElementById('control-expansion:1').value"))
    page.press("ArrowRight")
    after = float(page.run("document.getElementById('control-expansion:1').value"))
    assert after == pytest.approx(before + 0.02, abs=0.011)
    full(page)
    page.press("z", "KeyZ", modifiers=2)
    full(page)
    assert page.run("document.querySelectorAll('.control.moved').length") == 0
    page.run("document.getElementById('field').focus()")
    for _ in range(3):
        page.press("ArrowLeft", modifiers=8)
    assert "no metal" in page.run("document.getElementById('reading').textContent")
    for _ in range(9):
        page.press("ArrowLeft", modifiers=8)
    assert "hoop stress" in page.run("document.getElementById('reading').textContent")
    page.press("Enter")
    for _ in range(4):
        page.press("ArrowUp", modifiers=8)
    page.press("Enter")
    page.wait("document.body.dataset.line")
    shoot(page, "keyboard", whole=True)


def test_a_path_between_two_clicks_has_the_stress_of_the_paths_there(page):
    """From the edge of the hole outward at 0°: the same metal as the path of that direction."""
    # The view is 4 D wide round the hole at (12, 30); the edge after the ream is at x = 15.
    box = page.run("(({ x, y, width, height }) => [x, y, width, height])(document.getElementById('field').getBoundingClientRect())")
    page.run("document.getElementById('line').click()")
    asked = page.run("""(async () => {
      const body = JSON.stringify({ page: 1, accuracy: 'full', line: [[15.2, 30], [24, 30]] });
      const buffer = await (await fetch('line', { method: 'POST', body })).arrayBuffer();
      const length = new DataView(buffer).getUint32(0, true);
      return [...new Float64Array(buffer, 4 + length)];
    })()""")
    rows = [asked[k : k + 10] for k in range(0, len(asked), 10)]
    text = page.run("""(async () => {
      const body = JSON.stringify({ page: 1, accuracy: 'full', table: 'paths' });
      return (await fetch('table', { method: 'POST', body })).text();
    })()""")
    path = [r for r in csv.DictReader(io.StringIO(text)) if r["stage"] == "2-ream-A" and r["angle_deg"] == "0"]
    known = [(float(r["x_drawn"]), float(r["hoop"])) for r in path]
    for row in rows:
        x, hoop = row[1], row[3]
        k = next(k for k in range(1, len(known)) if known[k][0] >= x)
        (x0, h0), (x1, h1) = known[k - 1], known[k]
        between = h0 + (x - x0) / (x1 - x0) * (h1 - h0)
        # Straight between points of the table; curved in an element.
        assert abs(hoop - between) < 3.0, (x, hoop, between)
    page.click(box[0] + 0.62 * box[2], box[1] + 0.5 * box[3])
    page.click(box[0] + 0.75 * box[2], box[1] + 0.3 * box[3])
    page.wait("document.body.dataset.line")
    shoot(page, "own-path", whole=True)


def test_increments_are_stepped_through_and_two_states_stand_side_by_side(page):
    page.run("document.getElementById('increments').click()")
    page.wait("!document.getElementById('frame').disabled")
    last = int(page.run("document.getElementById('frame').max"))
    assert last >= 10
    words = []
    for frame in (0, last // 3, last):
        page.run(f"{{ const f = document.getElementById('frame'); f.value = {frame}; f.dispatchEvent(new Event('input')); }}")
        words.append(page.run("document.getElementById('frame-words').textContent"))
    assert "1-expand-A" in words[0] and "2-ream-A, ream, 100 %" in words[2], words
    page.run(f"{{ const f = document.getElementById('frame'); f.value = {last // 3}; f.dispatchEvent(new Event('input')); }}")
    shoot(page, "increment")
    page.run("document.getElementById('increments').click()")
    page.run("document.getElementById('hold').click()")
    move(page, "margin", 1.5)
    full(page)
    assert not page.run("document.getElementById('figure-held').hidden")
    assert page.run("document.querySelectorAll('#headlines .a').length") > 8
    shoot(page, "side-by-side", whole=True)
    page.run("document.getElementById('keep-picture').click()")
    assert page.downloaded("demo.png")[:8] == b"\x89PNG\r\n\x1a\n"
    for quantity in ("plastic", "von_mises", "uy"):
        page.run(f"{{ const q = document.getElementById('quantity'); q.value = '{quantity}'; q.dispatchEvent(new Event('change')); }}")
    shoot(page, "quantity")


def test_narrow_dark_and_on_paper(page):
    page.size(390, 844, 2, mobile=True)
    time.sleep(0.5)
    assert page.run("document.documentElement.scrollWidth <= innerWidth")
    shoot(page, "narrow", whole=True)
    page.size(1400, 1000)
    page.dark(True)
    time.sleep(0.5)
    shoot(page, "dark", whole=True)
    corner = "[...document.getElementById('field').getContext('2d').getImageData(2, 2, 1, 1).data].slice(0, 3)"
    assert max(page.run(corner)) < 80, "dark paper on a dark screen"
    page.run("dispatchEvent(new Event('beforeprint'))")
    assert page.run(corner) == [255, 255, 255], "white paper in print"
    page.call("Emulation.setEmulatedMedia", media="print")
    for canvas in ("field", "chart"):
        shown, drawn = page.run(
            f"(({{ clientWidth: w, clientHeight: h, width, height }}) => [w / h, width / height])(document.getElementById('{canvas}'))"
        )
        assert shown == pytest.approx(drawn, rel=0.02), "circles stay round on paper"
    page.call("Emulation.setEmulatedMedia", media="")
    page.run("dispatchEvent(new Event('afterprint'))")
    if SHOTS:
        page.paper(Path(SHOTS) / "page.pdf")


def test_nothing_serious_stands_in_the_way_of_anyone(page):
    """The rules of axe-core (WCAG 2.1 A and AA), light and dark."""
    axe = pytest.importorskip("axe_core_python", reason="the package axe-core-python is not installed")
    script = (Path(axe.__file__).parent / "axe.min.js").read_text()
    for dark in (False, True):
        page.dark(dark)
        page.run(script + ";0")
        found = page.run("axe.run().then((r) => r.violations.map((v) => [v.id, v.impact, v.nodes.map((n) => n.html)]))")
        serious = [v for v in found if v[1] in ("serious", "critical")]
        assert serious == [], serious


def test_a_lesson_wants_a_prediction_before_it_runs(course):
    with Chromium() as page:
        page.open(course)
        page.wait("document.getElementById('guess') !== null")
        time.sleep(1)
        assert page.run("document.body.dataset.shown ?? ''") == "", "nothing is computed before"
        assert "By hand" not in page.run("document.getElementById('lesson').textContent")
        shoot(page, "lesson-before", whole=True)
        page.run("{ document.getElementById('guess').value = '-200';"
                 " document.getElementById('predict').requestSubmit(); }")
        page.wait("document.body.dataset.lesson === 'answered'")
        words = page.run("document.getElementById('lesson').textContent")
        # The page of the lesson: -294 MPa by hand.
        assert re.search(r"You said \u2212200 MPa; the program finds \u221229\d\.\d MPa", words), words
        assert "By hand" in words and "Exercises" in words
        for given, said in (("3", "Not yet."), ("0.376", "Right: 0.375 %")):
            page.run(f"{{ const f = document.getElementById('exercise-0'); f.value = '{given}'; f.form.requestSubmit(); }}")
            assert page.run("document.getElementById('exercise-0').form.querySelector('.said').textContent") == said
        shoot(page, "lesson-after", whole=True)
        axe = pytest.importorskip("axe_core_python", reason="the package axe-core-python is not installed")
        page.run((Path(axe.__file__).parent / "axe.min.js").read_text() + ";0")
        found = page.run("axe.run().then((r) => r.violations.map((v) => [v.id, v.impact, v.nodes.map((n) => n.html)]))")
        assert [v for v in found if v[1] in ("serious", "critical")] == []
        assert page.trouble == []


def section(browser, accuracy, seconds=240):
    """Waits for a section of this accuracy; the second of the wait in which it came."""
    began = time.monotonic()
    browser.wait(f"/^({accuracy}|failed)/.test(document.body?.dataset.section)", seconds)
    assert browser.run("document.getElementById('section-trouble').hidden"), browser.run(
        "document.getElementById('section-trouble').textContent"
    )
    return time.monotonic() - began


def test_a_section_follows_friction_and_taper_with_the_numbers_of_the_command_line(drawn, tmp_path):
    with Chromium(height=2200) as page:
        page.open(drawn)
        print("coarse section after, s:", section(page, "coarse"))
        shoot(page, "section-coarse", whole=True)
        section(page, "full")
        page.run("document.body.dataset.section = ''")
        move(page, "section.friction", 0.15)
        assert page.run("document.getElementById('section').classList.contains('stale')")
        section(page, "coarse")
        # A move stops the full one under way; the next is that of the newest position.
        page.run("document.body.dataset.section = ''")
        move(page, "section.lead_angle", 3.0)
        section(page, "full")
        assert not page.run("document.getElementById('section').classList.contains('stale')")
        page.run("document.getElementById('keep-case').click()")
        text = page.downloaded("hinge-live.toml").decode()
        assert "friction = 0.15" in text and "lead_angle = 3.0" in text
        (tmp_path / "kept.toml").write_text(text)
        subprocess.run([HOOPSET, "section", "kept.toml"], cwd=tmp_path, check=True, capture_output=True)
        results = tmp_path / "kept-section" / "A"
        for table in ("section", "travel"):
            page.run(f"document.getElementById('keep-{table}').click()")
            assert page.downloaded(f"hinge-A-{table}.csv") == (results / f"{table}.csv").read_bytes()
        known = json.loads((results / "section.json").read_text())["stages"][-1]
        shown = page.run(
            "[...document.querySelectorAll('#section-table tbody tr')].map((row) => "
            "Object.fromEntries([...row.cells].slice(1).map((c) => [c.dataset.key, c.dataset.value])))"
        )
        assert len(shown) == len(known["paths"]) == 8
        for cells, path in zip(shown, known["paths"]):
            for key, value in cells.items():
                assert value == "null" if path[key] is None else float(value) == path[key]
        assert f"{known['bore_diameter']['middle']:.3f}" in page.run(
            "document.getElementById('section-table-caption').textContent"
        )
        shoot(page, "section", whole=True)
        page.run("{ const s = document.getElementById('section-stage'); s.selectedIndex = 0; s.dispatchEvent(new Event('change')); }")
        assert "mandrel drawn through" in page.run("document.getElementById('section-caption').textContent")
        page.run("document.getElementById('section-field').focus()")
        page.press("ArrowLeft", modifiers=8)
        assert "hoop stress" in page.run("document.getElementById('section-reading').textContent")
        axe = pytest.importorskip("axe_core_python", reason="the package axe-core-python is not installed")
        page.run((Path(axe.__file__).parent / "axe.min.js").read_text() + ";0")
        found = page.run("axe.run().then((r) => r.violations.map((v) => [v.id, v.impact, v.nodes.map((n) => n.html)]))")
        assert [v for v in found if v[1] in ("serious", "critical")] == []
        assert page.trouble == []


def test_a_section_gives_way_to_a_move_and_the_plate_goes_on(drawn):
    """The coarse answer of the plate does not wait for a draw under way."""
    with Chromium() as page:
        page.open(drawn)
        section(page, "coarse")
        page.wait("document.body.dataset.busy === 'section-full'")
        page.run("document.body.dataset.coarse = ''; document.body.dataset.section = ''")
        move(page, "expansion:1", 3.2)
        page.wait("document.body.dataset.coarse", 20)
        assert int(page.run("document.body.dataset.coarse")) < 2000
        # What has no section says so; the plate still has its answer.
        page.run("{ const f = document.getElementById('control-section.friction'); f.value = '1.5'; f.dispatchEvent(new Event('change')); }")
        page.wait("!document.getElementById('trouble').hidden")
        assert "friction" in page.run("document.getElementById('trouble').textContent")
        page.run("document.getElementById('undo').click()")
        section(page, "coarse")
        assert page.run("document.getElementById('trouble').hidden")
        assert page.trouble == []


def test_measured_points_stand_over_the_chart_with_their_distance_from_it(tmp_path):
    """Mean of measured less computed as `hoopset run` has it; the chart is straight between its points."""
    text = (ROOT / "src/case/demo.toml").read_text() + "\n[numerics]\nfineness = 0.5\nhardening_bracket = false\n"
    (tmp_path / "strips.csv").write_text("distance,hoop,angle_deg\n0.4,-250,0\n1.0,-180,0\n2.0,-60,0\n")
    (tmp_path / "hinge.toml").write_text(text + '[[measured]]\nfile = "strips.csv"\nlabel = "strips"\n')
    subprocess.run([HOOPSET, "run", "hinge.toml"], cwd=tmp_path, check=True, capture_output=True)
    rows = list(csv.DictReader((tmp_path / "hinge-results/measured.csv").open()))
    mean = statistics.fmean(float(row["difference"]) for row in rows)
    process = subprocess.Popen([HOOPSET, "live", "hinge.toml"], cwd=tmp_path, stdout=subprocess.PIPE, text=True)
    try:
        with Chromium() as browser:
            browser.open(process.stdout.readline().strip())
            full(browser)
            browser.wait("/strips/.test(document.getElementById('chart-caption').textContent)")
            words = browser.run("document.getElementById('chart-caption').textContent")
            shown = re.search(r"strips, measured less computed at 3 points: mean (\S+), root", words)
            assert float(shown[1].replace("−", "-")) == pytest.approx(mean, abs=0.5), words
            shoot(browser, "measured", whole=True)
            assert browser.trouble == [], "the console has errors"
    finally:
        process.send_signal(2)
        process.wait(10)
