"""The pages of comparison, of what one more is worth and of a repair as a browser sees them, and the
pages of a holding in which everything is named by somebody hostile.

Source of truth: the answers' YAML files, Chromium's own layout and console, axe-core's rules (WCAG 2).

    answers.py --binary bedweek --scenario scenarios/small-plot.yaml --axe axe.min.js
"""

import argparse
import pathlib
import subprocess
import tempfile

import yaml

import page
from page import check

# Pixels that a figure of a chart may be off: the charts are rounded to a hundredth.
PIXEL = 0.021
# Units of work of each search: the small plot is proven best, or nearly, by then.
WORK = "3000000"
HOSTILE = [
    "<script>alert(1)</script>",
    "\"'><img src=x onerror=alert(1)>",
    "\u202e\u05d2\u05d6\u05e8 {{ 7 * 7 }}",
    "🥕</svg></style>&amp;",
    "<b>=1+1</b> & co",
    "</title></script><svg onload=alert(1)>",
]


def run(binary, *arguments, ok=(0, 3)):
    done = subprocess.run([binary, *map(str, arguments)], stdout=subprocess.PIPE)
    check(done.returncode in ok, f"{arguments[0]} ends with {done.returncode}")
    return done.stdout.decode()


def load(file):
    return yaml.load(pathlib.Path(file).read_text(), Loader=yaml.CSafeLoader)


def near(got, wanted, words):
    check(abs(got - wanted) <= PIXEL, f"{words}: {got} instead of {wanted}")


SPANS = """
    const chart = document.querySelector(arguments[0] + ' .chart > [data-zero]');
    return [+chart.dataset.zero, +chart.dataset.unit, [...chart.querySelectorAll('g.row')].map(g => {
      const bar = g.querySelector('rect.known, rect.open');
      const found = g.querySelector('line.found');
      return [bar.x.baseVal.value, bar.width.baseVal.value, bar.getAttribute('class'),
              found ? found.x1.baseVal.value : null];
    })];
"""
CELLS = """
    return Object.fromEntries([...document.querySelectorAll(arguments[0] + ' tbody tr')].map(r =>
      [r.querySelector('th').textContent, [...r.querySelectorAll('td')].map(d => d.textContent)]));
"""


def spans(driver, where, wanted):
    """Bars against (at least, at most, found) of each row."""
    zero, unit, rows = driver.execute_script(SPANS, where)
    check(len(rows) == len(wanted), f"{where}: {len(rows)} rows, {len(wanted)} wanted")
    for (x, width, _, mark), (least, most, found) in zip(rows, wanted):
        near(x, zero + least * unit, f"{where}: at least {least}")
        near(width, max((most - least) * unit, 1.0), f"{where}: {least} to {most}")
        if found is not None:
            near(mark, zero + found * unit, f"{where}: found {found}")
    return 3 * len(rows), [row[2] for row in rows]


def comparison(driver, folder):
    answer = load(folder / "compare.yaml")
    wanted = [(d["at_least"], d["at_most"], d["found"]) for d in answer["differences"]]
    count, classes = spans(driver, "#better", wanted)
    for kind, difference in zip(classes, answer["differences"]):
        check((kind == "open") == (difference["verdict"] == "undecided"), f"{kind}: {difference}")
    bars = driver.execute_script(
        """
        const chart = document.querySelector('#met .chart > [data-unit]');
        return [+chart.dataset.unit, [...chart.querySelectorAll('g.row')].map(g =>
          g.querySelector('rect.fresh').width.baseVal.value)];
        """
    )
    parts = [[s["parts"][i] for s in answer["sides"]] for i in range(len(answer["parts"]))]
    parts.append([s["year"] for s in answer["sides"]])
    met = [m["wishes"] or 0.0 for part in parts for m in part]
    check(len(bars[1]) == len(met), "a bar for each part of the year and side")
    for got, share in zip(bars[1], met):
        near(got, share * bars[0], f"needs met {share}")
    cells = driver.execute_script(CELLS, "#table-1")
    for name, of in {
        "worth": lambda s: f"{s['worth']:.2f}",
        "no plan is worth more than": lambda s: f"{s['bound']:.2f}",
        "hours of work": lambda s: f"{s['work_hours']:.1f}",
        "weeks with a floor missed": lambda s: str(s["weeks_short"]),
    }.items():
        wanted = [of(side) for side in answer["sides"]]
        check(cells[name] == wanted, f"{name}: {cells[name]} instead of {wanted}")
        count += len(wanted)
    weeks = driver.execute_script(
        """
        return [...document.querySelectorAll('#level g.side')].map(g => [+g.dataset.unit,
          [...g.querySelectorAll('rect.fresh')].map(r => r.height.baseVal.value),
          [...g.querySelectorAll('rect.stored')].map(r => r.height.baseVal.value)]);
        """
    )
    for index, (unit, fresh, stored) in enumerate(weeks):
        plan = load(folder / f"side-{index + 1}.yaml")
        money = page.prices(plan)
        for kind, heights in {"fresh": fresh, "stored": stored}.items():
            for week, height in enumerate(heights):
                eaten = sum(money[s["food"]] * s["weeks"][week][kind] for s in plan["supply"])
                near(height, eaten * unit, f"side {index + 1}, week {week}, {kind}")
                count += 1
    return count + len(met)


def worth(driver, folder):
    answer = load(folder / "worth.yaml")
    steps = [(thing, step) for thing in answer["things"] for step in thing["steps"]]
    found = [(s["solved"] or {}).get("found") for _, s in steps]
    wanted = [(s["at_least"], s["at_most"], f) for (_, s), f in zip(steps, found)]
    count, _ = spans(driver, "#more", wanted)
    rows = driver.execute_script(
        "return [...document.querySelectorAll('#more tbody tr')].map(r =>"
        " [...r.querySelectorAll('td')].map(d => d.textContent))"
    )
    check(len(rows) == len(steps), "a row for each step")
    for row, (_, step) in zip(rows, steps):
        wanted = [f"{step[key]:.2f}" for key in ("in_bound", "at_least", "at_most")]
        check([row[2], row[4], row[5]] == wanted, f"{row}: {wanted}")
        count += 3
    unit, heights = driver.execute_script(
        """
        const chart = document.querySelector('#ground .chart [data-unit]');
        return [+chart.dataset.unit,
                [...chart.querySelectorAll('rect.fresh')].map(r => r.height.baseVal.value)];
        """
    )
    values = [week[setting] for setting in ("open", "tunnel") for week in answer["ground"]]
    wanted = [value for value in values if value]
    check(len(heights) == len(wanted) > 0, f"{len(heights)} bars of ground, {len(wanted)} wanted")
    for height, value in zip(heights, wanted):
        near(height, value * unit, f"ground {value}")
    return count + len(wanted)


def repair(driver, folder):
    answer = load(folder / "replan.yaml")
    cells = driver.execute_script(CELLS, "#answers")
    for name, key in {"worth": "worth", "price of its changes": "changes_money"}.items():
        wanted = [f"{a[key]:.2f}" for a in answer["answers"]]
        check(cells[name] == wanted, f"{name}: {cells[name]} instead of {wanted}")
    check(len(answer["lost"]) > 0, "something is lost")
    charts = driver.execute_script(
        """
        return [...document.querySelectorAll('#lost [data-food]')].map(g => [g.dataset.food,
          +g.dataset.unit, ['planned', 'stands', 'mended'].map(c =>
            [...g.querySelectorAll('rect.' + c)].map(r => r.height.baseVal.value))]);
        """
    )
    count = 0
    check([c[0] for c in charts] == [f["food"] for f in answer["lost"]], "a chart for each food")
    for (_, unit, bars), food in zip(charts, answer["lost"]):
        for heights, key in zip(bars, ("planned", "as_it_is", "repaired")):
            check(len(heights) == len(food["weeks"]), f"{food['food']}: a bar for each week")
            for height, week in zip(heights, food["weeks"]):
                near(height, week[key] * unit, f"{food['food']} {week['week']} {key}")
                count += 1
    jobs = driver.execute_script("return document.querySelectorAll('#jobs tbody tr').length")
    check(jobs == len(answer["jobs"]), f"{jobs} jobs, {len(answer['jobs'])} in the answer")
    pairs = driver.execute_script(
        "return [...document.querySelectorAll('#beds .bed')].map(b => [b.querySelectorAll('.chart').length,"
        " b.querySelectorAll('.chart .gone, .chart .new').length])"
    )
    check(pairs and all(p[0] == 2 and p[1] > 0 for p in pairs), f"before and after: {pairs}")
    return count


def look(driver, file, axe):
    print(f"  {file.name}, {file.stat().st_size} bytes")
    for size in page.SIZES:
        page.look(driver, file.as_uri(), axe, size)
    page.size(driver, "laptop")
    driver.get(file.as_uri())
    page.contrast(driver)


def hostile_scenario(text):
    """The scenario with hostile names for itself, its money, its beds and what stands in them."""
    scenario = yaml.load(text, Loader=yaml.CSafeLoader)

    def new(names):
        return {name: f"{HOSTILE[i % len(HOSTILE)]} {i}" for i, name in enumerate(names)}

    beds, standing = new(scenario["beds"]), new(scenario["standing"])
    scenario["beds"] = {beds[name]: bed for name, bed in scenario["beds"].items()}
    scenario["standing"] = {
        standing[name]: {**what, "bed": beds[what["bed"]]}
        for name, what in scenario["standing"].items()
    }
    # A name has at most 80 characters.
    scenario["name"] = HOSTILE[0] + HOSTILE[3] + HOSTILE[2]
    scenario["currency"] = HOSTILE[4]
    return yaml.safe_dump(scenario, allow_unicode=True, sort_keys=False, width=10_000)


def unharmed(driver, file):
    """Nothing that a name brought with it has become part of the page."""
    driver.get(file.as_uri())
    found = driver.execute_script(
        "return ['script', 'style', 'img', 'b', 'iframe'].map(n => document.querySelectorAll(n).length)"
    )
    check(found == [1, 1, 0, 0, 0], f"{file.name}: scripts, styles, images, ...: {found}")
    handlers = driver.execute_script(
        "return [...document.querySelectorAll('*')].filter(e => [...e.attributes].some(a =>"
        " a.name.startsWith('on'))).length"
    )
    check(handlers == 0, f"{file.name}: {handlers} handlers")
    words = driver.execute_script("return document.body.textContent")
    # Beds are named where the year is shown, the holding everywhere.
    named = HOSTILE if file.name in ("plan.html", "replan.html") else [HOSTILE[i] for i in (0, 2, 3)]
    for name in named:
        check(name in words, f"{file.name}: {name!r} is to be read as it is")


def lost(plan, start):
    """The standing crop of which most is still to be harvested after the start: it is missed."""
    def later(planting):
        return sum(units for week, units in planting.get("harvest", {}).items() if week > start)

    return max((p for p in plan["plantings"] if p.get("standing")), key=later)["id"]


def answers(binary, scenario, folder):
    """All three answers for a scenario: their pages by kind."""
    limits = ("--work-limit", WORK, "--quiet")
    run(binary, "plan", scenario, *limits, "--out", folder / "plan", "--timeless")
    plan = load(folder / "plan" / "plan.yaml")
    variant = folder / "variant.yaml"
    variant.write_text(
        yaml.safe_dump(
            {
                "name": HOSTILE[3] if "hostile" in scenario.name else "Two tunnels",
                "base": str(scenario.resolve()),
                "set": {"covers.low tunnel.count": 2},
            },
            allow_unicode=True,
        )
    )
    run(binary, "compare", scenario, variant, *limits, "--out", folder / "compare")
    run(binary, "worth", scenario, *limits, "--more", "1", "--out", folder / "worth")
    events = folder / "events.yaml"
    what = lost(plan, "2027-W10")
    events.write_text(f"events:\n  - {{ date: 2027-03-08, what: lost, planting: {what} }}\n")
    run(
        binary, "replan", folder / "plan" / "plan.yaml", "--events", events, "--from", "2027-03-15",
        *limits, "--out", folder / "replan",
    )
    return {
        "plan": folder / "plan" / "plan.html",
        "compare": folder / "compare" / "compare.html",
        "worth": folder / "worth" / "worth.html",
        "replan": folder / "replan" / "replan.html",
    }


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--binary", required=True)
    parser.add_argument("--scenario", required=True)
    parser.add_argument("--axe", required=True)
    parser.add_argument("--keep", help="write the pages there and leave them")
    asked = parser.parse_args()
    binary = str(pathlib.Path(asked.binary).resolve())
    axe = pathlib.Path(asked.axe).read_text()
    scenario = pathlib.Path(asked.scenario)
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(asked.keep or folder).resolve()
        good, bad = folder / "good", folder / "hostile"
        for part in (good, bad):
            part.mkdir(parents=True, exist_ok=True)
        pages = answers(binary, scenario, good)
        hostile = bad / "hostile.yaml"
        hostile.write_text(hostile_scenario(scenario.read_text()))
        hostile_pages = answers(binary, hostile, bad)
        driver = page.browser()
        try:
            figures = {"compare": comparison, "worth": worth, "replan": repair}
            for kind, compare in figures.items():
                look(driver, pages[kind], axe)
                count = compare(driver, pages[kind].parent)
                print(f"  {count} figures of {kind} compared with its YAML")
            for kind, file in hostile_pages.items():
                look(driver, file, axe if kind == "plan" else None)
                unharmed(driver, file)
        finally:
            driver.quit()
    page.end("answers")


if __name__ == "__main__":
    main()
