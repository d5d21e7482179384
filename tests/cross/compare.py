"""Compares `bedweek compare` with HiGHS (PyPI highspy), an independent solver.

The base and each variant are exported by `export --form bed` and solved by HiGHS, within a time for
each: it finds the best plan of a variant soon, but may not prove it.

- Our worth is never above what HiGHS proves possible, our bound never below what it finds.
- The interval of each difference that `compare` gives meets HiGHS's.
- Where both have proven a side, the worths are the same to 1e-6; at least one side is.

    python tests/cross/compare.py scenarios/small-plot.yaml
"""

import argparse
import pathlib
import subprocess
import sys
import tempfile

import yaml

from highs import SAME, export, solve

# Changes tried on the base, each as `set` of a variant.
CHANGES = {
    "another bed": {"beds.N4": {"setting": "open", "length_m": 2.4, "width_m": 1.2, "strips": 3}},
    "more tunnels": {"covers.low tunnel.count": 3},
    "dearer work": {"work.hour_money": 4},
    "no breaks": {"rotation.*.rule": "off"},
}


def variants(base, folder):
    for name, change in CHANGES.items():
        path = pathlib.Path(folder) / f"{name.replace(' ', '-')}.yaml"
        path.write_text(yaml.safe_dump({"name": name, "base": str(base.resolve()), "set": change}))
        yield path


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("base", type=pathlib.Path)
    parser.add_argument("--binary", default="target/release/bedweek")
    parser.add_argument("--base-seconds", type=float, default=300, help="HiGHS's time for the base")
    parser.add_argument("--seconds", type=float, default=60, help="HiGHS's time for each variant")
    parser.add_argument("--plan-seconds", type=float, default=120, help="ours for each search")
    arguments = parser.parse_args()
    problems = []
    with tempfile.TemporaryDirectory() as folder:
        paths = list(variants(arguments.base, folder))
        command = [arguments.binary, "compare", str(arguments.base), *map(str, paths), "--quiet",
                   "--decide", "--format", "yaml", "--time-limit", str(arguments.plan_seconds)]
        done = subprocess.run(command, stdout=subprocess.PIPE)
        assert done.returncode in (0, 3), f"compare ended with {done.returncode}"
        ours = yaml.safe_load(done.stdout)
        theirs = [solve(export(arguments.binary, path, "bed", "mps", folder), seconds)
                  for path, seconds in [(arguments.base, arguments.base_seconds),
                                        *((path, arguments.seconds) for path in paths)]]
    both = 0
    for our, their in zip(ours["sides"], theirs, strict=True):
        name = our["label"]
        slack = SAME * max(1.0, abs(our["bound"]))
        print(f"{name}: worth {our['worth']:.6f} bound {our['bound']:.6f}; "
              f"HiGHS {their['worth']:.6f} bound {their['bound']:.6f}")
        if our["worth"] > their["bound"] + slack:
            problems.append(f"{name}: worth {our['worth']} is above HiGHS's bound {their['bound']}")
        if their["worth"] > our["bound"] + slack:
            problems.append(f"{name}: bound {our['bound']} is below HiGHS's plan {their['worth']}")
        if their["done"] and our["ending"] == "optimal":
            both += 1
            if abs(our["worth"] - their["worth"]) > slack:
                problems.append(f"{name}: proven best, yet {our['worth']} is not {their['worth']}")
    if both == 0:
        problems.append("no side was proven best by both; nothing was compared exactly")
    base = theirs[0]
    for difference, their in zip(ours["differences"], theirs[1:], strict=True):
        low, high = their["worth"] - base["bound"], their["bound"] - base["worth"]
        slack = SAME * max(1.0, abs(base["bound"]))
        print(f"{difference['variant']}: {difference['verdict']}, {difference['at_least']:.6f} to "
              f"{difference['at_most']:.6f}; HiGHS {low:.6f} to {high:.6f}")
        if difference["at_least"] > high + slack or difference["at_most"] < low - slack:
            problems.append(f"{difference['variant']}: the intervals do not meet")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
