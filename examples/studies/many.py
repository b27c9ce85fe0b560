"""Solves two thousand small cases and says how fast, on how much of the cores, and in how much memory.

    python3 many.py HOOPSET RESULTS [--jobs 2] [--cases 2000] [STUDY ...]

Runs `many.toml` (cases that differ in the ream share the stages before) and `many-apart.toml` (nothing is shared), or the
studies named. Linux only: memory and processor time are read from /proc. Standard library only.
"""

import argparse
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
MARKS = 10  # rows of memory against cases
WARM = 3  # the mark from which on memory must not grow: meshes and orders of elimination are then kept
GROWTH = 20  # MB by which it may still rise and fall, as two threads are at larger or smaller cases


def resident(pid):
    """Resident memory of a process, MB."""
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024
    return 0.0


def processor(pid):
    """Processor time of a process so far, s."""
    fields = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def shortened(text, cases):
    """The study with fewer cases: a smaller hypercube, or a grid of fewer alloys and expansions."""
    if "latin hypercube" in text:
        return text.replace("count = 2000", f"count = {cases}")
    if cases < 2000:
        text = re.sub(r'values = \["2024.*\]', 'values = ["2024-T351 plate"]', text)
        text = text.replace("to = 0.038\ncount = 10", f"to = 0.038\ncount = {cases // 50}")
    return text


def run(program, study, results, jobs, cases):
    """Solves one study and prints its row and its memory against the cases done; returns whether the memory does not grow."""
    with tempfile.TemporaryDirectory() as folder:
        for file in [f"{study}.toml", "small-plate.toml"]:
            text = (HERE / file).read_text()
            (Path(folder) / file).write_text(shortened(text, cases) if file.startswith(study) else text)
        out = Path(results) / study
        started = time.monotonic()
        command = [program, "study", f"{study}.toml", "--fresh", "--jobs", str(jobs), "--out", str(out)]
        running = subprocess.Popen(command, cwd=folder, stdout=subprocess.PIPE, text=True)
        journal = Path(f"{out}.partial") / "journal.jsonl"
        marks, solved = [], None
        while running.poll() is None:
            time.sleep(0.05)
            try:
                done = journal.read_bytes().count(b"\n") - 1
                memory, spent = resident(running.pid), processor(running.pid)
            except OSError:
                continue
            if memory > 0 and done >= (len(marks) + 1) * cases / MARKS:
                marks.append((done, memory))
            if solved is None and done >= cases:
                solved = time.monotonic() - started, spent
        said = running.stdout.read()
    if running.returncode != 0:
        sys.exit(said)
    elapsed = time.monotonic() - started
    counts = re.search(r"stages solved (\d+), shared (\d+)", said)
    seconds, spent = solved or (elapsed, 0.0)
    print(f"{study}: {said.splitlines()[1]}")
    print("| cases | jobs | s | cases a second | core use | stages solved | shared | s for tables and page |")
    print("|---|---|---|---|---|---|---|---|")
    print(
        f"| {cases} | {jobs} | {seconds:.1f} | {cases / seconds:.1f} | {100 * spent / (jobs * seconds):.0f} % "
        f"| {counts[1]} | {counts[2]} | {elapsed - seconds:.1f} |"
    )
    print("| cases done | " + " | ".join(str(done) for done, _ in marks) + " |")
    print("|---" * (len(marks) + 1) + "|")
    print("| resident MB | " + " | ".join(f"{memory:.0f}" for _, memory in marks) + " |")
    # At the last mark tables and page are already being written.
    grown = max(memory for _, memory in marks[WARM - 1 : -1]) - marks[WARM - 1][1]
    print(f"memory grows by {grown:.0f} MB after {marks[WARM - 1][0]} cases; {GROWTH} MB are allowed")
    return grown <= GROWTH


def main():
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("program")
    parser.add_argument("results")
    parser.add_argument("--jobs", type=int, default=os.cpu_count())
    parser.add_argument("--cases", type=int, default=2000, choices=[100, 200, 500, 2000])
    parser.add_argument("studies", nargs="*", default=["many", "many-apart"])
    asked = parser.parse_intermixed_args()
    program = str(Path(asked.program).resolve())
    held = [run(program, study, Path(asked.results).resolve(), asked.jobs, asked.cases) for study in asked.studies]
    sys.exit(0 if all(held) else 1)


if __name__ == "__main__":
    main()
