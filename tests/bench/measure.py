"""Running a program as a child: its time, its largest memory, its trace."""

import csv
import math
import os
import resource
import signal
import subprocess
import time

# Gaps whose times are told, shares of the bound.
GAPS = (0.05, 0.02, 0.01, 0.005)
# Address space that a child may take, bytes: what would not fit the machine is ended by the system.
MEMORY = 12 * 2**30


def run(command, seconds, out):
    """Runs a command, its standard output into a file; ends it if it runs much longer than it was told."""
    def limit():
        resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))

    load = os.getloadavg()[0]
    began = time.monotonic()
    with open(out, "w") as stdout, open(f"{out}.err", "w") as stderr:
        child = subprocess.Popen([str(word) for word in command], stdout=stdout, stderr=stderr, preexec_fn=limit)
        ended = None
        patience = 1.25 * seconds + 30
        while ended is None and time.monotonic() - began < patience:
            pid, status, usage = os.wait4(child.pid, os.WNOHANG)
            if pid:
                ended = status
            else:
                time.sleep(0.05)
        killed = ended is None
        if killed:
            os.kill(child.pid, signal.SIGKILL)
            _, ended, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(ended)
    return {
        "code": child.returncode,
        "killed": killed,
        "seconds": time.monotonic() - began,
        "cpu_seconds": usage.ru_utime + usage.ru_stime,
        # Linux counts in kilobytes.
        "memory_mb": usage.ru_maxrss / 1024,
        "load_before": load,
    }


def gap(plan, bound):
    if plan is None or bound is None or bound == 0:
        return math.inf
    return max(0.0, bound - plan) / abs(bound)


def read_trace(path):
    """Rows (seconds, plan, bound), `None` for what is not known yet."""
    if not os.path.exists(path):
        return []
    with open(path, newline="") as file:
        return [(float(row["seconds"]), *(float(row[key]) if row[key] else None for key in ("plan", "bound")))
                for row in csv.DictReader(file)]


def milestones(rows):
    """When the first plan and each gap was reached, and what was known in the end."""
    made = {"first_plan": None, "plan": None, "bound": None}
    made.update({f"to_{share}": None for share in GAPS})
    for seconds, plan, bound in rows:
        if plan is not None and made["first_plan"] is None:
            made["first_plan"] = seconds
        made["plan"] = plan if plan is not None else made["plan"]
        made["bound"] = bound if bound is not None else made["bound"]
        for share in GAPS:
            if made[f"to_{share}"] is None and gap(made["plan"], made["bound"]) <= share:
                made[f"to_{share}"] = seconds
    made["gap"] = gap(made["plan"], made["bound"])
    return made
