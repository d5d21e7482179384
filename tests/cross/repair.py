"""Compares `bedweek replan` with HiGHS (PyPI highspy), an independent solver.

A plan is made and carried on after each of some events. The rest of the year, what stands and what is
decided on included, is exported by `export --plan` and solved by HiGHS.

- Our worth (changes at their price taken off) is never above what HiGHS proves possible, our bound never
  below what it finds.
- Where both have proven a repair, the worths are the same to 1e-6; at least one is.

    python tests/cross/repair.py scenarios/small-plot.yaml --from 2027-W20
"""

import argparse
import pathlib
import subprocess
import sys
import tempfile

import yaml

from highs import SAME, exported, solve

# What happens, each in a year of its own; dates are before W20.
EVENTS = {
    "leeks lost": "{ date: 2027-W12, what: lost, crop: winter leeks, share: 0.5 }",
    "guests": "{ date: 2027-W19, what: need, times: 2, from: 2027-W30, to: 2027-W33 }",
    "bed out": "{ date: 2027-W19, what: bed out, bed: S2, from: 2027-W20, to: 2027-W30 }",
}


def run(command, allowed):
    done = subprocess.run(command, stdout=subprocess.DEVNULL)
    assert done.returncode in allowed, f"{command} ended with {done.returncode}"


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("scenario", type=pathlib.Path)
    parser.add_argument("--from", dest="start", required=True)
    parser.add_argument("--binary", default="target/release/bedweek")
    parser.add_argument("--seconds", type=float, default=120, help="HiGHS's time for each repair")
    parser.add_argument("--plan-seconds", type=float, default=120, help="ours for each search")
    arguments = parser.parse_args()
    problems, both = [], 0
    with tempfile.TemporaryDirectory() as folder:
        limit = ["--time-limit", str(arguments.plan_seconds), "--quiet"]
        first = pathlib.Path(folder) / "first"
        run([arguments.binary, "plan", str(arguments.scenario.resolve()), "--out", str(first), *limit],
            (0, 3))
        for name, event in EVENTS.items():
            out = pathlib.Path(folder) / name.replace(" ", "-")
            events = pathlib.Path(folder) / f"{out.name}.events.yaml"
            events.write_text(f"events:\n  - {event}\n")
            run([arguments.binary, "replan", str(first / "plan.yaml"), "--events", str(events),
                 "--from", arguments.start, "--out", str(out), "--gap", "0", *limit], (0, 3))
            result = yaml.safe_load((out / "plan.yaml").read_text())["result"]
            source = ["--plan", str(out / "plan.yaml")]
            their = solve(exported(arguments.binary, source, "bed", "mps", folder), arguments.seconds)
            worth, bound = result["worth"], result["bound"]
            slack = SAME * max(1.0, abs(bound))
            print(f"{name}: worth {worth:.6f} bound {bound:.6f}; "
                  f"HiGHS {their['worth']:.6f} bound {their['bound']:.6f}")
            if worth > their["bound"] + slack:
                problems.append(f"{name}: worth {worth} is above HiGHS's bound {their['bound']}")
            if their["worth"] > bound + slack:
                problems.append(f"{name}: bound {bound} is below HiGHS's plan {their['worth']}")
            if their["done"] and bound - worth <= slack:
                both += 1
                if abs(worth - their["worth"]) > slack:
                    problems.append(f"{name}: proven best, yet {worth} is not {their['worth']}")
    if both == 0:
        problems.append("no repair was proven best by both; nothing was compared exactly")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
