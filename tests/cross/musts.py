"""Asks HiGHS (PyPI highspy), an independent solver, about floors that are musts.

- Where `plan` says that musts clash, HiGHS finds the exported programme infeasible.
- Where one of the musts named is taken out, HiGHS finds a plan, and so do we; worths are the same.

    python tests/cross/musts.py
"""

import argparse
import copy
import pathlib
import re
import subprocess
import sys
import tempfile

import highspy
import yaml

from highs import SAME, export, solve

BED = {"setting": "open", "length_m": 1.2, "width_m": 1.2, "strips": 2}
BASE = {
    "name": "Must and may", "start": "2027-W10", "weeks": 30, "tail": 0, "climate": "oxford",
    "beds": {"A": BED}, "covers": {},
    "shelf": {"lit_m2": 0, "unlit_m2": 0, "day_c": 18, "night_c": 13, "transmission": 0.5},
    "needs": {
        "radishes": {"wish": 9, "single_crop_share": 1,
                     "seasons": [{"weeks": ["W28", "W29"], "floor": 6, "must": True}]},
        "carrots": {"wish": 6, "single_crop_share": 1,
                    "seasons": [{"weeks": ["W36", "W37"], "floor": 2.5, "must": True}]},
    },
    "work": {"hour_money": 3}, "crops_used": ["radish", "main carrots"], "solving": {"gap": 0},
}


def infeasible(path):
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    # As in highs.py: the number of threads is one for the whole process.
    highs.setOptionValue("threads", 1)
    assert highs.readModel(str(path)) == highspy.HighsStatus.kOk
    highs.run()
    # All columns are bounded, so "unbounded or infeasible" means infeasible.
    return highs.getModelStatus() in (highspy.HighsModelStatus.kInfeasible,
                                      highspy.HighsModelStatus.kUnboundedOrInfeasible)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--binary", default="target/release/bedweek")
    arguments = parser.parse_args()
    problems = []
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder) / "musts.yaml"

        def ours(scenario):
            path.write_text(yaml.safe_dump(scenario))
            out = pathlib.Path(folder) / "out"
            done = subprocess.run([arguments.binary, "plan", str(path), "--out", str(out), "--quiet"],
                                  stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True)
            return done, export(arguments.binary, path, "bed", "mps", folder), out / "plan.yaml"

        done, programme, _ = ours(BASE)
        print(done.stderr)
        if done.returncode != 1:
            problems.append(f"we say {done.returncode}, not that musts clash")
        if not infeasible(programme):
            problems.append("HiGHS does not find the programme infeasible")
        named = re.findall(r"must: .* of (\w+) in", done.stderr)
        if set(named) != {"radishes", "carrots"}:
            problems.append(f"the musts named are {named}")
        for food in named:
            fewer = copy.deepcopy(BASE)
            for season in fewer["needs"][food]["seasons"]:
                season["must"] = False
            done, programme, plan = ours(fewer)
            if done.returncode != 0:
                problems.append(f"without the must of {food} we say {done.returncode}: {done.stderr}")
                continue
            worth = yaml.safe_load(plan.read_text())["result"]["worth"]
            their = solve(programme, 120)
            print(f"without the must of {food}: {worth:.6f}, HiGHS {their['worth']:.6f}")
            if not their["done"] or abs(worth - their["worth"]) > SAME * max(1.0, abs(worth)):
                problems.append(f"without the must of {food}: {worth} is not {their['worth']}")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
