"""Compares `bedweek compare` with HiGHS (PyPI highspy), an independent solver.

The base and each variant are exported by `export --form bed` and solved by HiGHS. The difference of
HiGHS's optima must lie in the interval that `compare` gives, and no verdict may contradict it. Where
`compare` proves both sides best, both differences are the same to 1e-6.

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
    parser.add_argument("--seconds", type=float, default=120, help="HiGHS's time for each programme")
    parser.add_argument("--plan-seconds", type=float, default=120, help="ours for each search")
    arguments = parser.parse_args()
    problems = []
    proven = 0
    with tempfile.TemporaryDirectory() as folder:
        paths = list(variants(arguments.base, folder))
        command = [arguments.binary, "compare", str(arguments.base), *map(str, paths), "--quiet",
                   "--decide", "--format", "yaml", "--time-limit", str(arguments.plan_seconds)]
        done = subprocess.run(command, stdout=subprocess.PIPE)
        assert done.returncode in (0, 3), f"compare ended with {done.returncode}"
        ours = yaml.safe_load(done.stdout)
        theirs = []
        for path in [arguments.base, *paths]:
            found = solve(export(arguments.binary, path, "bed", "mps", folder), arguments.seconds)
            if not found["done"]:
                problems.append(f"HiGHS did not finish {path}")
            theirs.append(found["worth"])
        base, rest = theirs[0], theirs[1:]
        sides = ours["sides"]
        for difference, optimum, side in zip(ours["differences"], rest, sides[1:], strict=True):
            name, true = difference["variant"], optimum - base
            slack = SAME * max(1.0, abs(base), abs(optimum))
            low, high = difference["at_least"] - slack, difference["at_most"] + slack
            print(f"{name}: {difference['verdict']}, between {difference['at_least']:.6f} and "
                  f"{difference['at_most']:.6f}; HiGHS {true:.6f}")
            if not low <= true <= high:
                problems.append(f"{name}: HiGHS's difference {true} is outside the interval")
            sign = {"better": true > -slack, "worse": true < slack, "same": abs(true) <= slack,
                    "undecided": True}
            if not sign[difference["verdict"]]:
                problems.append(f"{name}: {difference['verdict']}, HiGHS says {true}")
            if sides[0]["ending"] == side["ending"] == "optimal":
                proven += 1
                if abs(difference["found"] - true) > 2 * slack:
                    problems.append(f"{name}: both proven best, yet {difference['found']} is not {true}")
        if proven == 0:
            problems.append("no difference was proven on both sides; nothing was compared exactly")
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
