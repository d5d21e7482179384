"""Measures this program against general MIP solvers on benchmark holdings, and writes the tables of
docs/performance.md.

Each holding of holdings.py is planned by `bedweek plan`; its programme by beds is exported and given to
HiGHS (one thread, two threads, from our plan, and the pooled form for its bound), SCIP, CBC and microlp.
What they find is read back by `bedweek import` and checked by `bedweek verify`. One run at a time.

    python3 -m venv target/bench/venv
    target/bench/venv/bin/pip install -r tests/bench/requirements.txt
    target/bench/venv/bin/python tests/bench/run.py --quick --write

Results are kept in target/bench/results, a file for each holding and solver, so that a table can be made
of parts that were run at different times: --only-table makes it without running anything.
"""

import argparse
import datetime
import hashlib
import json
import os
import pathlib
import platform
import re
import subprocess
import sys

import holdings
import table
from measure import gap, milestones, read_trace, run

ROOT = pathlib.Path(__file__).resolve().parents[2]
HERE = pathlib.Path(__file__).resolve().parent
SCRATCH = ROOT / "target" / "bench"
BINARY = ROOT / "target" / "release" / "bedweek"
MICROLP = ROOT / "target" / "release" / "examples" / "microlp"

# What a solver is called: program, options, form of the programme, whether it begins from our plan.
SOLVERS = {
    "highs-1": ("highs", ["--threads", "1"], "bed", False),
    "highs-2": ("highs", ["--threads", "2"], "bed", False),
    "highs-2-from-plan": ("highs", ["--threads", "2"], "bed", True),
    "highs-pooled": ("highs", ["--threads", "2"], "pooled", False),
    "scip": ("scip", [], "bed", False),
    "cbc": ("cbc", [], "bed", False),
}
OURS, STANDING = "bedweek", "bedweek-standing"
ALL = [OURS, STANDING, *SOLVERS, "microlp"]
SMALL, MIDDLE, GROWN = list(holdings.SMALL), list(holdings.HOLDINGS), list(holdings.GROWN)

# Seconds for each run: what is worth knowing within about twenty minutes, and all of it (six hours).
QUICK = [
    (SMALL, [OURS], 20), (SMALL, ["highs-2", "scip"], 15),
    (MIDDLE, [OURS, STANDING], 30), (SMALL, [STANDING], 20),
    (["poor-6", "generous-40"], ["highs-2"], 45),
    (["demo"], [OURS, STANDING, "highs-2"], 120),
    (["demo"], ["highs-1", "highs-2-from-plan", "highs-pooled", "scip", "cbc", "microlp"], 45),
    (["demo-x2", "demo-x4"], [OURS], 60), (["demo-x8"], [OURS], 90),
]
FULL = [
    (SMALL, ALL, 120),
    ([*MIDDLE, "demo"], [OURS, STANDING], 120),
    ([*MIDDLE, "demo"], [*SOLVERS, "microlp"], 240),
    (["demo-x2", "demo-x4", "demo-x8"], [OURS], 240),
    (["demo-x2", "demo-x8"], ["highs-2", "highs-pooled"], 240),
]


def chosen(asked):
    """Runs (holding, solver, seconds), ours first, for others begin from our plan."""
    plan = QUICK if asked.quick else FULL
    if asked.seconds:
        plan = [(asked.holdings or [*SMALL, *MIDDLE, "demo"], asked.solvers or ALL, asked.seconds)]
    runs = {}
    for names, solvers, seconds in plan:
        for name in names:
            for solver in solvers:
                if (not asked.holdings or name in asked.holdings) and (not asked.solvers or solver in asked.solvers):
                    runs[name, solver] = seconds
    order = {name: n for n, name in enumerate(holdings.NAMES)}
    return sorted(((name, solver, seconds) for (name, solver), seconds in runs.items()),
                  key=lambda r: (order[r[0]], ALL.index(r[1])))


class Folder:
    """Where the files of a holding are."""

    def __init__(self, name):
        self.name = name
        self.path = SCRATCH / "holdings" / name
        self.path.mkdir(parents=True, exist_ok=True)
        self.scenario = self.path / "scenario.yaml"
        self.scenario.write_text(holdings.holding(name))

    def programme(self, form):
        """The exported programme, made anew when program or holding changed."""
        file, mark = self.path / f"{form}.mps", self.path / f"{form}.key"
        key = hashlib.sha256(BINARY.read_bytes() + self.scenario.read_bytes()).hexdigest()
        if not mark.exists() or mark.read_text() != key:
            with open(file, "wb") as out:
                subprocess.run([BINARY, "export", self.scenario, "--format", "mps", "--form", form],
                               stdout=out, check=True)
            mark.write_text(key)
        return file

    def read_back(self, solver, bound):
        """Whether a solution is a plan that verifies, and what it is worth; or why not."""
        values = self.path / f"{solver}.values"
        if not values.exists():
            return {"verified": False, "why": "no solution"}
        out = self.path / f"{solver}.back"
        said = subprocess.run([BINARY, "import", self.scenario, values, "--out", out],
                              capture_output=True, text=True)
        if said.returncode != 0:
            return {"verified": False, "why": said.stderr.strip().splitlines()[-1].strip()}
        plan = out / "plan.yaml"
        held = subprocess.run([BINARY, "verify", plan], capture_output=True, text=True)
        worth = float(re.search(r"^  worth: (\S+)", plan.read_text(), re.M)[1])
        return {"verified": held.returncode == 0, "worth": worth}


def ours(folder, solver, seconds):
    """Plans, with everything that `plan` leaves; the year that comes again for ever, or the one with a beginning."""
    trace = folder.path / f"{solver}.csv"
    out = folder.path / f"{solver}.out"
    form = ["--standing-year"] if solver == STANDING else ["--solution", folder.path / "bedweek.values"]
    made = run([BINARY, "plan", folder.scenario, "--gap", "0", "--time-limit", seconds, "--out", out, "--trace",
                trace, *form, "--quiet"], seconds, folder.path / f"{solver}.txt")
    made.update(milestones(read_trace(trace)))
    plan = out / "plan.yaml"
    if made["code"] in (0, 3):
        held = subprocess.run([BINARY, "verify", plan], capture_output=True)
        made["back"] = {"verified": held.returncode == 0, "worth": made["plan"]}
    made["version"] = subprocess.run([BINARY, "--version"], capture_output=True, text=True).stdout.strip()
    return made


def other(folder, solver, seconds):
    program, options, form, from_plan = SOLVERS[solver]
    trace, values = folder.path / f"{solver}.csv", folder.path / f"{solver}.values"
    out = folder.path / f"{solver}.json"
    for old in (trace, values, out):
        old.unlink(missing_ok=True)
    command = [sys.executable, HERE / "solvers.py", program, folder.programme(form), "--seconds", seconds, *options,
               "--trace", trace, "--solution", values]
    if from_plan:
        start = folder.path / "bedweek.values"
        if not start.exists():
            return None
        command += ["--start", start]
    made = run(command, seconds, out)
    made.update(milestones(read_trace(trace)))
    said = out.read_text().strip().splitlines()
    made["version"] = json.loads(said[-1])["version"] if made["code"] == 0 and said else program
    if form == "bed" and made["plan"] is not None:
        made["back"] = folder.read_back(solver, made["bound"])
    if form == "pooled":
        # Not a plan: plantings of beds that are alike are counted together.
        made["plan"], made["first_plan"], made["gap"] = None, None, gap(None, None)
        made.update({key: None for key in made if key.startswith("to_")})
    return made


def microlp(folder, seconds):
    out = folder.path / "microlp.json"
    made = run([MICROLP, folder.scenario, seconds], seconds, out)
    said = out.read_text().strip()
    told = json.loads(said) if made["code"] == 0 and said else {}
    # It tells of nothing on its way; one that ends with a plan is taken as having had it then.
    rows = [(told["seconds"], told["plan"], told["bound"])] if "plan" in told else []
    made.update(milestones(rows))
    made["version"] = "microlp " + re.search(r'name = "microlp"\nversion = "(\S+)"', (ROOT / "Cargo.lock").read_text())[1]
    return made


def machine():
    """What it was run on."""
    cpu = "unknown"
    for line in pathlib.Path("/proc/cpuinfo").read_text().splitlines():
        if line.startswith("model name"):
            cpu = line.split(":")[1].strip()
            break
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    rustc = subprocess.run(["rustc", "--version"], capture_output=True, text=True).stdout.split()[1]
    commit = subprocess.run(["git", "-C", ROOT, "describe", "--always", "--dirty"], capture_output=True, text=True).stdout.strip()
    return {"cpu": cpu, "cores": os.cpu_count(), "memory_gb": round(memory, 1), "system": platform.platform(),
            "python": platform.python_version(), "rustc": rustc, "commit": commit}


def main():
    parser = argparse.ArgumentParser(description=__doc__.split("\n\n")[0])
    parser.add_argument("--quick", action="store_true", help="a selection, in about twenty minutes")
    parser.add_argument("--holdings", nargs="+", choices=holdings.NAMES, metavar="NAME", help="only these holdings")
    parser.add_argument("--solvers", nargs="+", choices=ALL, metavar="NAME", help=f"only these of {', '.join(ALL)}")
    parser.add_argument("--seconds", type=float, help="time for each run")
    parser.add_argument("--list", action="store_true", help="say what would be run, and how long at most")
    parser.add_argument("--only-table", action="store_true", help="run nothing")
    parser.add_argument("--results", type=pathlib.Path, default=SCRATCH / "results", help="where results are kept")
    parser.add_argument("--write", action="store_true", help="write the tables into docs/performance.md")
    asked = parser.parse_args()
    runs = [] if asked.only_table else chosen(asked)
    if asked.list:
        for name, solver, seconds in runs:
            print(f"{name:16} {solver:18} {seconds:6.0f} s")
        print(f"at most {sum(seconds for *_, seconds in runs) / 60:.0f} minutes, besides exports")
        return 0
    asked.results.mkdir(parents=True, exist_ok=True)
    if runs:
        build = ["cargo", "build", "--release", "--locked", "--bin", "bedweek", "--example", "microlp"]
        subprocess.run(build, cwd=ROOT, check=True)
    for name, solver, seconds in runs:
        folder = Folder(name)
        if solver in (OURS, STANDING):
            made = ours(folder, solver, seconds)
        elif solver == "microlp":
            made = microlp(folder, seconds)
        else:
            made = other(folder, solver, seconds)
        if made is None:
            print(f"{name} {solver}: there is no plan of ours to begin from; run {OURS} first", file=sys.stderr)
            continue
        made.update(holding=name, solver=solver, limit=seconds, machine=machine(),
                    date=datetime.datetime.now(datetime.timezone.utc).strftime("%Y-%m-%d %H:%M UTC"))
        (asked.results / f"{name}.{solver}.json").write_text(json.dumps(made, indent=1))
        print(table.line(made), flush=True)
    results = [json.loads(file.read_text()) for file in sorted(asked.results.glob("*.json"))]
    text = table.tables(results, holdings.NAMES, ALL)
    if asked.write:
        table.write(ROOT / "docs" / "performance.md", text)
    else:
        print(text)
    return 0


if __name__ == "__main__":
    sys.exit(main())
