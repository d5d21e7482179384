"""The page of a plan as a browser sees it, and the calendar as another reader does.

Source of truth: the plan file (YAML), Chromium's own layout and console, axe-core's rules
(WCAG 2), the icalendar package (RFC 5545), Python's csv module (RFC 4180).

    page.py --binary bedweek --plan out/plan.yaml --scenario FILE
            [--axe axe.min.js [--axe-sizes laptop]] [--most-bytes N]

Opens the page at telephone, laptop and A4 size with all network blocked and counted.
"""

import argparse
import csv
import io
import json
import os
import pathlib
import pty
import re
import subprocess
import sys
import tempfile

import icalendar
import yaml
from selenium import webdriver
from selenium.webdriver.chrome.options import Options
from selenium.webdriver.chrome.service import Service

# Width, height in CSS pixels, whether it is a touch screen. A4 at 96 dpi without margins.
SIZES = {"telephone": (390, 844, True), "laptop": (1280, 800, False), "A4": (703, 1017, False)}
# Pixels of the chart that a figure may be off: the charts are rounded to a hundredth.
PIXEL = 0.011
# WCAG 2.1, 1.4.3 (AA): contrast of text.
CONTRAST = 4.5

faults = []


def check(good, words):
    if not good:
        faults.append(words)
        print("WRONG", words)


def browser():
    options = Options()
    for argument in ("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"):
        options.add_argument(argument)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    options.binary_location = "/usr/bin/chromium"
    driver = webdriver.Chrome(options=options, service=Service("/usr/bin/chromedriver"))
    driver.set_script_timeout(900)
    return driver


def size(driver, name):
    width, height, touch = SIZES[name]
    metrics = dict(width=width, height=height, deviceScaleFactor=1, mobile=touch)
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    media = {"media": "print" if name == "A4" else "screen"}
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", media)


def requests(driver):
    """Addresses asked for, besides the page itself and what is written into it."""
    asked = []
    for entry in driver.get_log("performance"):
        message = json.loads(entry["message"])["message"]
        if message["method"] == "Network.requestWillBeSent":
            url = message["params"]["request"]["url"]
            if not url.startswith(("file://", "data:", "about:", "chrome:")):
                asked.append(url)
    return asked


def look(driver, url, axe, name):
    size(driver, name)
    driver.get(url)
    check(not requests(driver), f"{name}: no network request")
    console = [e for e in driver.get_log("browser") if e["level"] in ("SEVERE", "WARNING")]
    check(not console, f"{name}: nothing on the console: {console[:3]}")
    wide = driver.execute_script(
        "return document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    check(wide <= 0, f"{name}: {wide} pixels too wide")
    if axe is None:
        return
    # Evaluated by the driver, which the page's policy does not concern.
    driver.execute_script(axe)
    found = driver.execute_async_script(
        "const done = arguments[0];"
        "axe.run(document, {resultTypes: ['violations']}).then("
        "  r => done(r.violations), e => done([{id: String(e), impact: 'critical', nodes: []}]));"
    )
    for violation in found:
        where = [node["target"] for node in violation["nodes"][:2]]
        serious = violation["impact"] in ("serious", "critical")
        print(f"  {name}: axe {violation['id']} ({violation['impact']}) {where}")
        check(not serious, f"{name}: axe {violation['id']} at {where}")


def contrast(driver):
    """Text in charts, which axe leaves out: its colour against the grounds it can stand on."""
    worst = driver.execute_script(
        """
        const light = c => {
          const [r, g, b] = c.match(/[\\d.]+/g).slice(0, 3).map(v => v / 255)
            .map(v => v <= 0.03928 ? v / 12.92 : Math.pow((v + 0.055) / 1.055, 2.4));
          return 0.2126 * r + 0.7152 * g + 0.0722 * b;
        };
        const ratio = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
        const grounds = ['rgb(253,252,248)'];
        for (const mark of document.querySelectorAll('.textures .ground'))
          grounds.push(getComputedStyle(mark).fill);
        for (const of of ['.chart .band', '.chart .tail', '.chart .wish', '.chart .c0']) {
          const mark = document.querySelector(of);
          if (mark) grounds.push(getComputedStyle(mark).fill);
        }
        let worst = 21;
        const seen = new Set();
        for (const text of document.querySelectorAll('.chart text')) {
          const fill = getComputedStyle(text).fill;
          if (seen.has(fill)) continue;
          seen.add(fill);
          for (const ground of grounds) worst = Math.min(worst, ratio(light(fill), light(ground)));
        }
        return [worst, seen.size, grounds.length];
        """
    )
    check(worst[1] > 0 and worst[2] > 5, f"texts and grounds were found: {worst}")
    check(worst[0] >= CONTRAST, f"contrast of chart text is {worst[0]:.2f}")
    print(f"  least contrast of chart text {worst[0]:.2f}")


def ticks(driver, url):
    size(driver, "telephone")
    driver.get(url)
    boxes = "document.querySelectorAll('input[data-job]')"
    count = driver.execute_script(f"return {boxes}.length")
    check(count > 0, "there are boxes to tick")
    driver.execute_script(f"{boxes}[0].click(); {boxes}[2].click()")
    driver.refresh()
    done = driver.execute_script(
        f"return [...{boxes}].map((b, i) => b.checked ? i : -1).filter(i => i >= 0)"
    )
    check(done == [0, 2], f"ticks survive a reload: {done}")
    driver.execute_script(f"{boxes}[0].click(); {boxes}[2].click()")
    driver.refresh()
    left = driver.execute_script(f"return [...{boxes}].filter(b => b.checked).length")
    check(left == 0, "ticks can be taken back")


def taps(driver):
    told = driver.execute_script(
        """
        const bar = document.querySelector('.chart a');
        const at = bar.querySelector('rect');
        at.dispatchEvent(new MouseEvent('click', {bubbles: true, cancelable: true}));
        const slip = document.getElementById('slip');
        const words = slip.querySelector('p').textContent;
        const shown = !slip.hidden;
        slip.querySelector('button').click();
        return [shown, words, bar.querySelector('title').textContent, slip.hidden];
        """
    )
    check(told[0] and told[1] == told[2] and told[3], f"a tap tells of the planting: {told}")


def figures(driver, plan, scenario_prices):
    """Bars of the charts against the plan's numbers."""
    foods = driver.execute_script(
        """
        return [...document.querySelectorAll('[data-food]')].map(g => ({
          food: g.dataset.food, base: +g.dataset.base, unit: +g.dataset.unit,
          bars: [...g.querySelectorAll('rect.fresh, rect.stored')].map(r =>
            [r.getAttribute('class'), r.x.baseVal.value, r.width.baseVal.value,
             r.height.baseVal.value])}));
        """
    )
    check([f["food"] for f in foods] == [s["food"] for s in plan["supply"]], "every food has a chart")
    weeks = plan["scenario"]["weeks"] + plan["scenario"]["tail"]
    compared = 0
    for chart, supply in zip(foods, plan["supply"]):
        step = (1000 - 132 - 74) / weeks
        drawn = {"fresh": [0.0] * weeks, "stored": [0.0] * weeks}
        for kind, x, _, height in chart["bars"]:
            drawn[kind][int((x - 132) / step)] = height / chart["unit"]
        for index, week in enumerate(supply["weeks"]):
            for kind in drawn:
                off = abs(drawn[kind][index] - week[kind]) * chart["unit"]
                compared += 1
                check(off <= PIXEL, f"{supply['food']} {week['week']} {kind}: {off:.3f} pixels off")
    bars = driver.execute_script(
        """
        return [...document.querySelectorAll('.bed .chart a')].map(a => {
          const s = a.querySelector('svg');
          return [a.getAttribute('href').slice(1), s.x.baseVal.value, s.width.baseVal.value];
        });
        """
    )
    number = {}
    start = week_number(plan["scenario"]["start"])
    step = (1000 - 62 - 2) / weeks
    for planting in plan["plantings"]:
        # A standing year shows what stands over from the year before, too; a perennial is the same every year.
        years = [(0, "")]
        if "standing_year" in plan and "standing" not in planting:
            years.append((-weeks, "b"))
        for later, mark in years:
            first = max(week_number(planting["planted"]) - start + later, 0)
            after = min(week_number(planting["cleared"]) - start + later, weeks)
            if first < after:
                number[planting["id"] + mark] = (62 + first * step, (after - first) * step)
    check({bar[0] for bar in bars} == set(number), "every planting in the ground has its bar")
    for name, x, width in bars:
        compared += 1
        at, wide = number.get(name, (-1, -1))
        good = abs(x - at) <= PIXEL and abs(width - wide) <= PIXEL
        check(good, f"bar of {name}: {x}, {width} instead of {at}, {wide}")
    level = driver.execute_script(
        """
        const g = document.querySelector('#level .chart [data-unit]');
        return [+g.dataset.unit, [...g.querySelectorAll('g')].map(w =>
          ['fresh', 'stored'].map(c => w.querySelector('rect.' + c).height.baseVal.value))];
        """
    )
    for index, bars in enumerate(level[1]):
        for kind, height in zip(("fresh", "stored"), bars):
            money = sum(
                scenario_prices[s["food"]] * s["weeks"][index][kind] for s in plan["supply"]
            )
            compared += 1
            off = abs(height - money * level[0])
            check(off <= PIXEL, f"level, week {index} {kind}: {off:.3f} pixels off")
    check(len(level[1]) == weeks, "every week has its bar in the level")
    print(f"  {compared} figures of the charts compared with the plan")


def on_terminal(command, no_colour):
    """What the program writes on a terminal."""
    ours, theirs = pty.openpty()
    known = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "CI", "CLICOLOR")}
    known |= {"TERM": "xterm-256color"} | ({"NO_COLOR": "1"} if no_colour else {})
    process = subprocess.Popen(command, stdout=theirs, stderr=subprocess.DEVNULL, env=known)
    os.close(theirs)
    text = b""
    while True:
        try:
            part = os.read(ours, 65536)
        except OSError:  # Linux says so when the other side is closed
            break
        if not part:
            break
        text += part
    os.close(ours)
    check(process.wait() == 0, "show on a terminal ends well")
    return text.decode().replace("\r\n", "\n")


def terminal(command, plain):
    """Colour on a terminal, without NO_COLOR, and nowhere else; the words stay the same."""
    coloured, uncoloured = on_terminal(command, False), on_terminal(command, True)
    check("\x1b" not in plain, "no colour where standard output is no terminal")
    check("\x1b[" in coloured, "colour on a terminal")
    check(uncoloured == plain, "no colour with NO_COLOR")
    check(re.sub("\x1b\\[[0-9;]*m", "", coloured) == plain, "colour changes no word")
    check("The year at a glance" in plain and "The year, bed by bed" in plain, "the year as text")


def week_number(text):
    from datetime import date

    year, week = text.split("-W")
    return date.fromisocalendar(int(year), int(week), 1).toordinal() // 7


def prices(plan):
    """Money per unit of each food, from the plan's ledger: eaten units and what they are worth."""
    known = {line["place"]: line for line in plan["ledger"] if line["rule"] == "food eaten"}
    return {
        s["food"]: known[s["food"]]["money"] / known[s["food"]]["amount"] if s["food"] in known else 0.0
        for s in plan["supply"]
    }


def other_readers(show, plan):
    calendar = icalendar.Calendar.from_ical(show("--format", "ics"))
    events = [c for c in calendar.walk() if c.name == "VEVENT"]
    check(len(events) == plan["scenario"]["weeks"], "an event for each week")
    check(not any(event.errors for event in events), "the calendar's properties are read")
    rows = list(csv.DictReader(io.StringIO(show("--format", "csv", "--table", "jobs"), newline="")))
    by_week = {}
    for row in rows:
        by_week.setdefault(row["monday"], []).append(row)
    for event in events:
        monday = event["DTSTART"].dt.isoformat()
        lines = str(event["DESCRIPTION"]).split("\n")
        jobs = by_week.get(monday, [])
        check(len(lines) == max(len(jobs), 1), f"{monday}: {len(lines)} lines, {len(jobs)} jobs")
        for line, job in zip(lines, jobs):
            what = job["what"].removeprefix("'")
            check(line.startswith(f"{job['job']} {what}"), f"{monday}: {line!r}")
    supply = list(csv.DictReader(io.StringIO(show("--format", "csv", "--table", "supply"), newline="")))
    known = [(s["food"], w) for s in plan["supply"] for w in s["weeks"]]
    check(len(supply) == len(known), "a row for each food and week")
    for row, (food, week) in zip(supply, known):
        same = row["food"].removeprefix("'") == food and float(row["eaten"]) == week["eaten"]
        check(same, f"supply row {row}")
    print(f"  {len(events)} events, {len(rows)} jobs, {len(supply)} weeks of foods read")


def end(name):
    print(f"{name}:", f"{len(faults)} faults" if faults else "good")
    sys.exit(1 if faults else 0)


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--binary", required=True)
    parser.add_argument("--plan", required=True)
    parser.add_argument("--scenario", required=True)
    parser.add_argument("--axe", help="axe-core, run at these sizes:")
    parser.add_argument("--axe-sizes", nargs="+", choices=list(SIZES), default=list(SIZES))
    parser.add_argument("--most-bytes", type=int, default=2_000_000)
    asked = parser.parse_args()

    def show(*arguments):
        command = [asked.binary, "show", asked.plan, "--scenario", asked.scenario, *arguments]
        return subprocess.run(command, check=True, stdout=subprocess.PIPE).stdout.decode()

    terminal([asked.binary, "show", asked.plan, "--scenario", asked.scenario], show())
    plan = yaml.load(pathlib.Path(asked.plan).read_text(), Loader=yaml.CSafeLoader)
    page = show("--format", "html")
    check(len(page.encode()) <= asked.most_bytes, f"the page takes {len(page.encode())} bytes")
    print(f"  the page takes {len(page.encode())} bytes")
    other_readers(show, plan)
    axe = pathlib.Path(asked.axe).read_text() if asked.axe else None
    with tempfile.TemporaryDirectory() as folder:
        file = pathlib.Path(folder, "plan.html")
        file.write_text(page)
        driver = browser()
        try:
            for name in SIZES:
                look(driver, file.as_uri(), axe if name in asked.axe_sizes else None, name)
            size(driver, "laptop")
            driver.get(file.as_uri())
            contrast(driver)
            taps(driver)
            figures(driver, plan, prices(plan))
            ticks(driver, file.as_uri())
        finally:
            driver.quit()
    end("page")


if __name__ == "__main__":
    main()
