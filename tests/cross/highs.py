"""Compares plans with HiGHS (PyPI highspy), an independent solver, on exported programmes.

For each scenario: the programme of `export --form bed` is read by HiGHS as MPS and as LP, and
solved; the plan of `plan` is set against it.

- Both readings have the same size, and the same optimum where both are solved.
- Our worth is never above what HiGHS proves possible, our bound never below what it finds.
- The form pooled by kinds is read alike, and its relaxation is worth no less than our plan.
- With --better: in the same time our plan is at least as good as HiGHS's, our bound at least as low.
- With --equal: HiGHS's optimum, our worth and our bound agree to 1e-6; and HiGHS's solution, read back by
  `import`, is a plan of that worth that verifies, or it cannot be laid out strip by strip.

The programme by beds is a relaxation of placed plans (docs/method/programme.md, "Strips"), so
--equal is for scenarios whose best solution by beds can be placed.

With --standing-year all this is done with the year that comes again for ever, which has no pooled form.

    python tests/cross/highs.py --equal scenarios/small-plot.yaml --seeds 1 2
    python tests/cross/highs.py --equal --standing-year --seeds 1 3
"""

import argparse
import pathlib
import subprocess
import sys
import tempfile

import highspy
import yaml

from generate import scenario as generated

# Relative difference that counts as none.
SAME = 1e-6
# Smaller than SAME, so that HiGHS's own stopping does not blur the comparison.
HIGHS_GAP = 1e-8


def export(binary, scenario, form, kind, folder, standing=False):
    if standing:
        return written([binary, "export", str(scenario), "--standing-year"], "standing", kind, folder)
    return exported(binary, [str(scenario)], form, kind, folder)


def exported(binary, source, form, kind, folder):
    return written([binary, "export", *source, "--form", form], form, kind, folder)


def written(command, name, kind, folder):
    path = pathlib.Path(folder) / f"{name}.{kind}"
    with open(path, "wb") as out:
        subprocess.run([*command, "--format", kind], stdout=out, check=True)
    return path


def solve(path, seconds, relaxed=False):
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.setOptionValue("time_limit", float(seconds))
    highs.setOptionValue("mip_rel_gap", HIGHS_GAP)
    highs.setOptionValue("mip_abs_gap", 0.0)
    highs.setOptionValue("threads", 1)
    if relaxed:
        highs.setOptionValue("solve_relaxation", True)
    status = highs.readModel(str(path))
    assert status == highspy.HighsStatus.kOk, f"HiGHS does not read {path}: {status}"
    lp = highs.getLp()
    assert lp.sense_ == highspy.ObjSense.kMaximize, "the objective is to be maximised"
    size = (lp.num_col_, lp.num_row_)
    highs.run()
    info = highs.getInfo()
    found = info.primal_solution_status == 2
    done = highs.getModelStatus() == highspy.HighsModelStatus.kOptimal
    worth = info.objective_function_value if found else float("-inf")
    bound = worth if relaxed and done else info.mip_dual_bound
    values = list(zip(lp.col_names_, highs.getSolution().col_value)) if found else []
    return {"size": size, "worth": worth, "bound": bound, "done": done, "values": values}


def read_back(binary, scenario, values, folder, standing=False):
    """The worth of the plan that a solution is; `None` where it cannot be laid out strip by strip."""
    file, out = pathlib.Path(folder) / "values.txt", pathlib.Path(folder) / "back"
    file.write_text("".join(f"{name} {value!r}\n" for name, value in values if value != 0.0))
    command = [binary, "import", str(scenario), str(file), "--out", str(out)]
    command += ["--standing-year"] if standing else []
    said = subprocess.run(command, capture_output=True, text=True)
    if said.returncode == 5 and "strip by strip" in said.stderr:
        return None
    assert said.returncode == 0, said.stderr
    subprocess.run([binary, "verify", str(out / "plan.yaml")], stdout=subprocess.DEVNULL, check=True)
    return yaml.safe_load((out / "plan.yaml").read_text())["result"]["worth"]


def plan(binary, scenario, seconds, folder, standing=False):
    out = pathlib.Path(folder) / "out"
    command = [binary, "plan", str(scenario), "--out", str(out)]
    command += ["--standing-year"] if standing else []
    if seconds:
        command += ["--time-limit", str(seconds), "--gap", "0"]
    code = subprocess.run(command, stdout=subprocess.DEVNULL).returncode
    # 0: within the gap; 3: a limit was reached and a plan is given.
    assert code in (0, 3), f"plan ended with {code}"
    return yaml.safe_load((out / "plan.yaml").read_text())["result"]


def near(a, b):
    return abs(a - b) <= SAME * max(1.0, abs(a), abs(b))


def compare(arguments, scenario, problems):
    def expect(truth, message):
        if not truth:
            problems.append(f"{scenario}: {message}")

    standing = arguments.standing_year
    with tempfile.TemporaryDirectory() as folder:
        ours = plan(arguments.binary, scenario, arguments.plan_seconds, folder, standing)
        mps = export(arguments.binary, scenario, "bed", "mps", folder, standing)
        lp = export(arguments.binary, scenario, "bed", "lp", folder, standing)
        theirs = solve(mps, arguments.seconds)
        slack = SAME * max(1.0, abs(ours["worth"]))
        print(f"{scenario}: worth {ours['worth']:.6f} bound {ours['bound']:.6f}; "
              f"HiGHS {theirs['worth']:.6f} bound {theirs['bound']:.6f}, {theirs['size']}")
        expect(ours["worth"] <= ours["bound"] + slack, "our worth is above our bound")
        expect(ours["worth"] <= theirs["bound"] + slack,
               f"worth {ours['worth']} is above what HiGHS proves possible, {theirs['bound']}")
        if arguments.better:
            expect(ours["worth"] >= theirs["worth"] - slack,
                   f"worth {ours['worth']} is below HiGHS's plan, {theirs['worth']}")
            expect(ours["bound"] <= theirs["bound"] + slack,
                   f"bound {ours['bound']} is above HiGHS's, {theirs['bound']}")
        if arguments.equal:
            # A plan by beds need not be placeable, so only here it holds our bound to account.
            expect(ours["bound"] >= theirs["worth"] - slack,
                   f"bound {ours['bound']} is below what HiGHS finds, {theirs['worth']}")
            expect(theirs["done"], "HiGHS did not finish")
            expect(near(ours["worth"], theirs["worth"]), "the optima differ")
            expect(near(ours["bound"], theirs["worth"]), "our bound is not the optimum")
            back = read_back(arguments.binary, scenario, theirs["values"], folder, standing)
            print(f"{scenario}: HiGHS's solution is {'no plan' if back is None else f'a plan worth {back:.6f}'}")
            expect(back is None or near(back, theirs["worth"]), "HiGHS's solution, read back, is worth less")
        # Relaxations can be solved even for full holdings: the two files say the same.
        relax_seconds = arguments.relax_seconds or arguments.seconds
        readings = [solve(path, relax_seconds, relaxed=True) for path in (mps, lp)]
        expect(readings[0]["size"] == readings[1]["size"], "LP and MPS differ in size")
        if all(reading["done"] for reading in readings):
            expect(near(readings[0]["worth"], readings[1]["worth"]),
                   f"LP and MPS differ: {readings[0]['worth']}, {readings[1]['worth']}")
        elif arguments.equal:
            expect(False, "HiGHS did not finish a relaxation")
        if standing:
            return
        pooled = solve(export(arguments.binary, scenario, "pooled", "mps", folder),
                       relax_seconds, relaxed=True)
        if pooled["done"]:
            expect(pooled["worth"] >= ours["worth"] - slack,
                   f"worth {ours['worth']} is above the pooled relaxation, {pooled['worth']}")
        elif arguments.equal:
            expect(False, "HiGHS did not finish the pooled relaxation")


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("scenarios", nargs="*")
    parser.add_argument("--seeds", type=int, nargs="*", default=[],
                        help="scenarios by chance besides, see generate.py")
    parser.add_argument("--binary", default="target/release/bedweek")
    parser.add_argument("--seconds", type=float, default=300, help="HiGHS's time for each programme")
    parser.add_argument("--relax-seconds", type=float, help="HiGHS's time for each relaxation")
    parser.add_argument("--plan-seconds", type=float, help="our time limit")
    parser.add_argument("--equal", action="store_true", help="the optima must be the same")
    parser.add_argument("--standing-year", action="store_true",
                        help="the year that comes again for ever, of scenarios whose solution can be placed")
    parser.add_argument("--better", action="store_true", help="HiGHS must not do better")
    arguments = parser.parse_args()
    problems = []
    for scenario in arguments.scenarios:
        compare(arguments, scenario, problems)
    with tempfile.TemporaryDirectory() as folder:
        for seed in arguments.seeds:
            path = pathlib.Path(folder) / f"chance-{seed}.yaml"
            path.write_text(generated(seed))
            compare(arguments, path, problems)
    for problem in problems:
        print(problem, file=sys.stderr)
    return 1 if problems else 0


if __name__ == "__main__":
    sys.exit(main())
