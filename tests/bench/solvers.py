"""General MIP solvers on an exported programme, one to a process, so that memory and time are its own.

    python tests/bench/solvers.py highs --threads 1 --seconds 60 demo.mps --trace t.csv --solution s.txt

The trace has the form of `bedweek plan --trace`; its seconds begin when the solver has read the file. The
solution has the form of `bedweek plan --solution`. With --start, a file of that form, the solver begins
from it: whole columns only, the solver finds the rest.
"""

import argparse
import csv
import json
import pathlib
import re
import subprocess
import sys
import tempfile
import time

# A solver does not stop before the gap is this small.
GAP = 1e-7
# Shortest time between two looks at the bound, seconds.
LOOK = 0.5


class Trace:
    """Better plans and bounds as they come."""

    def __init__(self, path):
        self.file = open(path, "w", newline="")
        self.rows = csv.writer(self.file)
        self.rows.writerow(["seconds", "phase", "plan", "bound"])
        self.file.flush()
        self.known = (float("-inf"), float("inf"))
        self.began = time.monotonic()

    def begin(self):
        self.began = time.monotonic()

    def add(self, plan, bound, seconds=None):
        best = (max(plan, self.known[0]), min(bound, self.known[1]))
        if best == self.known:
            return
        self.known = best
        seconds = time.monotonic() - self.began if seconds is None else seconds
        cells = ["" if abs(value) >= INFINITE else repr(value) for value in best]
        self.rows.writerow([f"{seconds:.3f}", "solve", *cells])
        self.file.flush()


# What is beyond this is not known yet.
INFINITE = 1e19


def read_values(path):
    """Values by name of column."""
    lines = (line.split("#")[0].split() for line in pathlib.Path(path).read_text().splitlines())
    return {words[0]: float(words[1]) for words in lines if words}


def write_values(path, values):
    text = "".join(f"{name} {value!r}\n" for name, value in values if abs(value) > 1e-9)
    pathlib.Path(path).write_text(text)


def highs(asked, trace):
    import highspy
    import numpy

    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.setOptionValue("threads", asked.threads)
    model.setOptionValue("time_limit", asked.seconds)
    model.setOptionValue("mip_rel_gap", GAP)
    model.setOptionValue("mip_abs_gap", 0.0)
    model.setOptionValue("mip_min_logging_interval", LOOK)
    status = model.readModel(asked.programme)
    assert status == highspy.HighsStatus.kOk, f"HiGHS does not read {asked.programme}"
    programme = model.getLp()
    names = list(programme.col_names_)
    if asked.start:
        start = read_values(asked.start)
        whole = [n for n, kind in enumerate(programme.integrality_)
                 if kind == highspy.HighsVarType.kInteger]
        values = numpy.array([round(start.get(names[n], 0.0)) for n in whole], dtype=float)
        model.setSolution(len(whole), numpy.array(whole, dtype=numpy.int32), values)

    def look(event):
        trace.add(event.data_out.mip_primal_bound, event.data_out.mip_dual_bound)

    model.cbMipImprovingSolution += look
    model.cbMipLogging += look
    trace.begin()
    model.run()
    info = model.getInfo()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    trace.add(info.objective_function_value if found else -INFINITE, info.mip_dual_bound)
    if found and asked.solution:
        write_values(asked.solution, zip(names, model.getSolution().col_value))
    return f"HiGHS {model.version()}"


def scip(asked, trace):
    import pyscipopt

    model = pyscipopt.Model()
    model.hideOutput()
    model.readProblem(asked.programme)
    model.setParam("limits/time", asked.seconds)
    model.setParam("limits/gap", GAP)

    class Look(pyscipopt.Eventhdlr):
        EVENTS = [pyscipopt.SCIP_EVENTTYPE.BESTSOLFOUND, pyscipopt.SCIP_EVENTTYPE.DUALBOUNDIMPROVED]

        def eventinit(self):
            for event in self.EVENTS:
                self.model.catchEvent(event, self)

        def eventexit(self):
            for event in self.EVENTS:
                self.model.dropEvent(event, self)

        def eventexec(self, event):
            trace.add(self.model.getPrimalbound(), self.model.getDualbound())

    look = Look()
    model.includeEventhdlr(look, "look", "better plans and bounds")
    if asked.start:
        start = read_values(asked.start)
        partial = model.createPartialSol()
        for column in model.getVars():
            if column.vtype() != "CONTINUOUS":
                model.setSolVal(partial, column, round(start.get(column.name, 0.0)))
        model.addSol(partial)
    trace.begin()
    model.optimize()
    found = model.getNSols() > 0
    trace.add(model.getPrimalbound() if found else -INFINITE, model.getDualbound())
    if found and asked.solution:
        best = model.getBestSol()
        write_values(asked.solution, ((c.name, model.getSolVal(best, c)) for c in model.getVars()))
    return f"SCIP {model.version()}"


def cbc(asked, trace):
    """By the program that PuLP brings along; times and bounds as it prints them."""
    import pulp

    program = pulp.PULP_CBC_CMD().path
    with tempfile.TemporaryDirectory() as folder:
        programme, offset, names = minimised(asked.programme, folder)
        out = pathlib.Path(folder) / "solution"
        command = [program, programme, "-sec", str(asked.seconds), "-timeMode", "elapsed",
                   "-ratio", str(GAP), "-threads", str(asked.threads if asked.threads > 1 else 0)]
        if asked.start:
            start = read_values(asked.start)
            given = pathlib.Path(folder) / "start"
            lines = [f"{n} {names[name]} {round(value)}" for n, (name, value) in enumerate(start.items())
                     if name.startswith(("x.", "cover."))]
            given.write_text("Stopped on iterations - objective value 0\n" + "\n".join(lines) + "\n")
            command += ["-mips", str(given)]
        command += ["-solve", "-solution", str(out)]
        trace.begin()
        running = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
        version = ""
        for line in running.stdout:
            if line.startswith("Version:"):
                version = line.split(":")[1].strip()
            plan, bound = told(line)
            if plan is not None or bound is not None:
                trace.add(-INFINITE if plan is None else offset - plan,
                          INFINITE if bound is None else offset - bound)
        running.wait()
        if out.exists():
            given = {short: name for name, short in names.items()}
            first, *rows = out.read_text().splitlines()
            values = [(given[row.split()[1]], float(row.split()[2])) for row in rows if "**" not in row]
            # Without a whole solution CBC writes the relaxation's.
            if values and ("Optimal" in first or trace.known[0] > -INFINITE) and asked.solution:
                write_values(asked.solution, values)
                if "Optimal" in first:
                    best = offset - float(first.rsplit(" ", 1)[1])
                    trace.add(best, best)
    return f"CBC {version}"


NUMBER = r"([-+]?[\d.]+(?:e[-+]?\d+)?)"
SOLUTION = re.compile(rf"Integer solution of {NUMBER} found")
BEST = re.compile(rf"After \d+ nodes, \d+ on tree, {NUMBER} best solution, best possible {NUMBER}")
RELAXED = re.compile(rf"Continuous objective value is {NUMBER}")
START = re.compile(rf"MIPStart provided solution with cost {NUMBER}")


def told(line):
    """Plan and bound (of the minimised programme) that a line of CBC's tells."""
    for pattern in (SOLUTION, START):
        if found := pattern.search(line):
            return float(found[1]), None
    if found := BEST.search(line):
        plan, bound = float(found[1]), float(found[2])
        return (plan if abs(plan) < 1e40 else None), bound
    if found := RELAXED.search(line):
        return None, float(found[1])
    return None, None


def minimised(path, folder):
    """The programme with the objective turned round and short names, as CBC reads it safely; the constant
    of the objective; the short names."""
    import highspy

    model = highspy.Highs()
    model.setOptionValue("output_flag", False)
    model.readModel(path)
    programme = model.getLp()
    assert programme.sense_ == highspy.ObjSense.kMaximize
    names = {name: f"c{n}" for n, name in enumerate(programme.col_names_)}
    programme.col_cost_ = [-cost for cost in programme.col_cost_]
    programme.sense_ = highspy.ObjSense.kMinimize
    offset, programme.offset_ = programme.offset_, 0.0
    programme.col_names_ = list(names.values())
    programme.row_names_ = [f"r{n}" for n in range(programme.num_row_)]
    model.passModel(programme)
    turned = str(pathlib.Path(folder) / "minimised.mps")
    model.writeModel(turned)
    return turned, offset, names


SOLVERS = {"highs": highs, "scip": scip, "cbc": cbc}


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("solver", choices=SOLVERS)
    parser.add_argument("programme", help="MPS file")
    parser.add_argument("--seconds", type=float, required=True)
    parser.add_argument("--threads", type=int, default=1)
    parser.add_argument("--trace", required=True)
    parser.add_argument("--solution")
    parser.add_argument("--start")
    asked = parser.parse_args()
    version = SOLVERS[asked.solver](asked, Trace(asked.trace))
    print(json.dumps({"version": version}))


if __name__ == "__main__":
    sys.exit(main())
