"""Tables of results, as Markdown."""

import math

import holdings
from measure import GAPS, gap

BEGIN, END = "<!-- tables: begin, written by tests/bench/run.py --write -->", "<!-- tables: end -->"
# Gap below which a plan counts as proven best.
NO_GAP = 1e-6
# Load for each core above which the machine has other work: a run of ours alone makes one.
BUSY = 1.2


def seconds(value):
    if value is None:
        return "-"
    return f"{value:.1f}" if value < 100 else f"{value:.0f}"


def money(value):
    return "-" if value is None else f"{value:.2f}"


def share(value):
    if value is None or math.isinf(value):
        return "-"
    return "0" if value <= NO_GAP else f"{100 * value:.2f} %"


def back(made):
    """What became of its plan when it was read back."""
    read = made.get("back")
    if read is None:
        return "-"
    if read["verified"]:
        return f"holds, {read['worth']:.2f}"
    return read["why"]


def line(made):
    """One result for a terminal."""
    return (f"{made['holding']:16} {made['solver']:18} plan {money(made['plan']):>10} bound {money(made['bound']):>10} "
            f"gap {share(made['gap']):>8}  {made['seconds']:6.1f} s {made['memory_mb']:6.0f} MB  load {made['load_before']:.1f}  "
            f"{'killed  ' if made['killed'] else ''}{back(made)}")


def tables(results, names, solvers):
    found = {(r["holding"], r["solver"]): r for r in results}
    ordered = [found[name, solver] for name in names for solver in solvers if (name, solver) in found]
    general = [r for r in ordered if r["solver"] != "bedweek-standing"]
    parts = [machine(ordered), own(ordered, "bedweek", "Ours"), own(ordered, "bedweek-standing", "The standing year"),
             growth(found), others(general)]
    return "\n\n".join(part for part in parts if part) + "\n"


def rows(head, body):
    return "\n".join(["| " + " | ".join(cells) + " |" for cells in (head, ["---"] * len(head), *body)])


def machine(results):
    kinds = sorted({tuple(sorted(r["machine"].items())) for r in results})
    versions = sorted({r["version"] for r in results})
    dates = sorted(r["date"] for r in results)
    loads = [r["load_before"] for r in results]
    text = []
    if results:
        for kind in kinds:
            it = dict(kind)
            text.append(f"{it['cpu']}, {it['cores']} cores, {it['memory_gb']} GB; {it['system']}; rustc {it['rustc']}, "
                        f"Python {it['python']}; commit {it['commit']}.")
        text.append(f"{', '.join(versions)}. Run from {dates[0]} to {dates[-1]}; load before each run (mean of a minute, "
                    f"which the run before it raises): {min(loads):.1f} to {max(loads):.1f}.")
        cores = max(r["machine"]["cores"] for r in results)
        if min(loads) > BUSY * cores:
            text.append("**The machine was busy with other work all the time: seconds are too long and gaps too wide, "
                        "of all solvers alike.**")
        missing = [name for name in holdings.NAMES
                   if not any(r["holding"] == name and r["solver"] == "bedweek" for r in results)]
        if missing:
            text.append(f"Not run: {', '.join(missing)}.")
    return "\n".join(text)


GAP_HEADS = [f"{100 * share:g} %" for share in GAPS]


def own(results, solver, title):
    body = []
    for r in results:
        if r["solver"] != solver:
            continue
        body.append([r["holding"], f"{r['limit']:g}", seconds(r["first_plan"]), *(seconds(r[f"to_{g}"]) for g in GAPS),
                     money(r["plan"]), money(r["bound"]), share(r["gap"]), f"{r['memory_mb']:.0f}", f"{r['load_before']:.1f}",
                     "holds" if r.get("back", {}).get("verified") else "-"])
    if not body:
        return ""
    head = ["holding", "limit, s", "first plan, s", *(f"to {g}" for g in GAP_HEADS), "plan", "bound", "gap", "MB", "load", "verify"]
    return f"### {title}\n\n" + rows(head, body)


def growth(found):
    body = []
    base = found.get(("demo", "bedweek"))
    for name, times in holdings.GROWN.items():
        r = found.get((name, "bedweek"))
        if r is None or base is None:
            continue
        body.append([f"{times}x", *(seconds(r[f"to_{g}"]) for g in GAPS), share(r["gap"]), f"{r['limit']:g}",
                     money(r["plan"]), money(r["bound"]), f"{r['memory_mb']:.0f}"])
    if len(body) < 2:
        return ""
    head = ["demo", *(f"to {g}, s" for g in GAP_HEADS), "gap in the end", "limit, s", "plan", "bound", "MB"]
    return "### Growth\n\n" + rows(head, body)


def others(results):
    names = sorted({r["holding"] for r in results if r["solver"] != "bedweek"}, key=list(holdings.NAMES).index)
    parts = []
    for name in names:
        of = [r for r in results if r["holding"] == name]
        body = [[r["solver"], f"{r['limit']:g}", seconds(r["first_plan"]), *(seconds(r[f"to_{g}"]) for g in GAPS),
                 money(r["plan"]), money(r["bound"]), share(r["gap"]), f"{r['memory_mb']:.0f}", back(r)] for r in of]
        head = ["solver", "limit, s", "first plan, s", *(f"to {g}" for g in GAP_HEADS), "plan", "bound", "gap", "MB", "read back"]
        parts.append(f"#### {name}\n\n" + rows(head, body) + together(of))
    return "### Beside general solvers\n\n" + "\n\n".join(parts) if parts else ""


def together(results):
    """The general solvers' best plan against their best bound, those that began from our plan left out."""
    theirs = [r for r in results if r["solver"] != "bedweek" and "from-plan" not in r["solver"]]
    plans = [r["plan"] for r in theirs if r["plan"] is not None]
    bounds = [r["bound"] for r in theirs if r["bound"] is not None]
    if not plans or not bounds:
        return ""
    return (f"\n\nBest plan of the general solvers {max(plans):.2f}, their best bound {min(bounds):.2f}: "
            f"{share(gap(max(plans), min(bounds)))}.")


def write(page, text):
    """Puts the tables between the marks of a page."""
    old = page.read_text()
    before, rest = old.split(BEGIN)
    _, after = rest.split(END)
    page.write_text(f"{before}{BEGIN}\n\n{text}\n{END}{after}")
