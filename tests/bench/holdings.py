"""Holdings for the benchmark: invented, made from seeds and named settings, the same every time.

What is drawn by chance: lengths and histories of beds, and what stands in them. Crops, needs, sowing
weeks and what stands are those of scenarios/four-households.yaml and small-plot.yaml, and so are the
proportions: the first asks for the food of one household from 38 m2, and that is about what this ground
can meet (nine tenths of it are met). `asks` says how many times that a holding asks for.

    python tests/bench/holdings.py --list
    python tests/bench/holdings.py poor-30 > poor-30.yaml
    python tests/bench/holdings.py demo-x4 > demo-x4.yaml
"""

import argparse
import copy
import dataclasses
import functools
import pathlib
import random
import sys

import yaml

ROOT = pathlib.Path(__file__).resolve().parents[2]
SCENARIOS = ROOT / "scenarios"
MODELS = ROOT / "models" / "crops"
DEMO = SCENARIOS / "four-households.yaml"
PLOT = SCENARIOS / "small-plot.yaml"
# Ground that the demo holding has for each household, m2.
M2_PER_HOUSEHOLD = 38.0
WIDTH_M = {"open": 1.2, "tunnel": 1.0}
# Covers to hand for each bed in the open.
COVERS = {
    "none": {},
    "few": {"low tunnel": 0.1, "fleece": 0.1},
    "many": {"low tunnel": 0.35, "cold-frame top": 0.25, "fleece": 0.4},
}
# Shelf space of the demo holding for each m2 of ground.
LIT_M2, UNLIT_M2 = 0.01, 0.02
# Level band of the demo holding for each household, money a week.
LOW_MONEY, HIGH_MONEY = 8.5, 13.75
# Breaks of a holding that keeps the handbooks' longer rotations, weeks.
TIGHT = {"brassica": 156, "allium": 156, "potato": 156, "legume": 104, "carrot": 104, "gourd": 104,
         "beet": 52, "daisy": 26}
# Families of what was cleared from a bed, and when in the year.
PAST = {"potato": (30, 37), "legume": (26, 38), "brassica": (10, 20), "carrot": (40, 47),
        "allium": (30, 34), "gourd": (38, 41), "beet": (38, 44), "daisy": (20, 34)}
# What stands for years, and its foods.
FOR_YEARS = {"asparagus", "strawberries", "raspberries", "blackcurrants", "gooseberries", "rhubarb", "mint"}
FOODS_FOR_YEARS = {"asparagus", "soft fruit", "rhubarb"}
# What is grown in a tunnel only, and its foods.
TUNNEL_CROPS = {"tunnel tomatoes", "peppers", "early tunnel carrots"}
TUNNEL_FOODS = {"tomatoes", "peppers"}
# What of the demo holding's plantings still stands at the end of February, by name.
IN_SPRING = ["winter leeks", "parsnips", "winter carrots", "swede", "kale", "early sprouting broccoli",
             "late sprouting broccoli", "winter cauliflower", "spring cabbage", "leaf beet",
             "winter spinach outside", "lamb's lettuce", "overwintering onions", "field beans",
             "winter spinach in the tunnel", "winter purslane", "overwintered carrots"]


@dataclasses.dataclass(frozen=True)
class Setting:
    """What is said of a holding; the rest is drawn."""

    seed: int
    beds: int
    tunnels: int = 0            # how many of the beds are borders of a polytunnel
    strip_m: float = 0.2        # length of a strip along its bed, m
    asks: float = 1.0           # food asked for, in parts of what the demo asks of the ground
    covers: str = "few"
    start: str = "2026-W42"
    tail: int = 26
    stands: float = 0.8         # share of the beds with something in them
    tight: bool = False         # long breaks
    hours_per_week: float | None = None
    climate: str = "oxford"


@dataclasses.dataclass(frozen=True)
class Plot:
    """A small holding: six beds, the twelve crops of the small plot."""

    seed: int
    strips: int                 # of 0.48 m2, in each bed
    sowings: int                # weeks in which each crop may be sown
    asks: float = 1.0
    stands: bool = True
    tight: bool = False
    tunnel_covers: int = 1


HOLDINGS = {
    "poor-6": Setting(1, 6, strip_m=0.3, asks=2.0, start="2027-W09", tail=13, stands=0.0),
    "generous-10": Setting(2, 10, strip_m=0.4, asks=0.6),
    "uncovered-12": Setting(3, 12, strip_m=0.3, covers="none", start="2027-W08", climate="brussels"),
    "covered-16": Setting(4, 16, tunnels=3, covers="many"),
    "tight-20": Setting(5, 20, tunnels=2, tight=True, start="2027-W08"),
    "work-24": Setting(6, 24, tunnels=4, hours_per_week=1.6, covers="many"),
    "bare-28": Setting(7, 28, strip_m=0.3, start="2027-W09", tail=13, stands=0.0, climate="heathrow"),
    "poor-32": Setting(8, 32, tunnels=4, asks=1.8, covers="many"),
    "generous-40": Setting(9, 40, tunnels=6, asks=0.65, covers="few", climate="hurn"),
}
SMALL = {
    "small-bare": Plot(11, strips=3, sowings=1, stands=False),
    "small-standing": Plot(12, strips=4, sowings=1),
    "small-tight": Plot(13, strips=4, sowings=2, tight=True, asks=1.5),
    "small-covered": Plot(14, strips=5, sowings=2, tunnel_covers=3),
}
# The demo holding so many times over.
GROWTH = (1, 2, 4, 8)
GROWN = {"demo" if times == 1 else f"demo-x{times}": times for times in GROWTH}
NAMES = [*SMALL, *HOLDINGS, *GROWN]


def holding(name):
    """The scenario of that name as YAML text."""
    if name in HOLDINGS:
        made = by_setting(name, HOLDINGS[name])
    elif name in SMALL:
        made = by_plot(name, SMALL[name])
    elif GROWN[name] == 1:
        return DEMO.read_text()
    else:
        made = many_times(GROWN[name])
    return yaml.dump(made, Dumper=Plain, sort_keys=True, allow_unicode=True, width=100,
                     default_flow_style=None)


class Plain(yaml.SafeDumper):
    """Writes equal parts out each time: scenarios have no aliases."""

    def ignore_aliases(self, data):
        return True


def year_and_week(week):
    year, number = week.split("-W")
    return int(year), int(number)


@functools.cache
def families():
    """Botanical families by crop, as the program ships them."""
    found = {}
    for file in sorted(MODELS.glob("*.yaml")):
        crops = yaml.safe_load(file.read_text())["crops"]
        found.update((crop, model["family"]) for crop, model in crops.items())
    return found


def drawn_history(chance, start, standing, how_many):
    """What was cleared from a bed, the last first; not of the families of the crops that stand there."""
    year, week = year_and_week(start)
    drawn = chance.sample(sorted(set(PAST) - {families()[crop] for crop in standing}), how_many)
    past = []
    for back, family in enumerate(drawn):
        cleared = chance.randint(*PAST[family])
        in_year = year - back if cleared < week else year - back - 1
        past.append({"family": family, "cleared": f"{in_year}-W{cleared:02d}"})
    return past


def by_setting(name, setting):
    chance = random.Random(setting.seed)
    demo = yaml.safe_load(DEMO.read_text())
    bare = setting.stands == 0.0
    beds, standing = {}, {}
    spring = year_and_week(setting.start)[1] < 20
    for number in range(setting.beds):
        inside = number >= setting.beds - setting.tunnels
        place = "tunnel" if inside else "open"
        strips = round(chance.choice([3.6, 4.2, 4.8]) / setting.strip_m)
        bed = f"{'T' if inside else 'A'}{number + 1:02d}"
        beds[bed] = {"setting": place, "length_m": round(strips * setting.strip_m, 3),
                     "width_m": WIDTH_M[place], "strips": strips}
        stands = []
        if chance.random() < setting.stands:
            stands = plant(chance, demo, standing, bed, beds[bed], spring)
        beds[bed]["history"] = drawn_history(chance, setting.start, stands, chance.choice([1, 2, 3]))
    ground = sum(bed["length_m"] * bed["width_m"] for bed in beds.values())
    households = max(0.5, round(setting.asks * ground / M2_PER_HOUSEHOLD, 1))
    crops = [crop for crop in demo["crops_used"] if crop not in FOR_YEARS and crop != "basket tomatoes"]
    if not setting.tunnels:
        crops = [crop for crop in crops if crop not in TUNNEL_CROPS]
    needs = {food: need for food, need in demo["needs"].items() if food not in FOODS_FOR_YEARS
             and (setting.tunnels or food not in TUNNEL_FOODS)}
    opens = setting.beds - setting.tunnels
    made = {
        "name": name, "currency": "EUR", "start": setting.start, "weeks": 52, "tail": setting.tail,
        "climate": setting.climate, "beds": beds, "households": households, "needs": needs,
        "covers": {cover: {"count": max(1, round(share * opens))}
                   for cover, share in COVERS[setting.covers].items()},
        "shelf": dict(demo["shelf"], lit_m2=round(LIT_M2 * ground, 2), unlit_m2=round(UNLIT_M2 * ground, 2)),
        # Of more mouths than the ground can feed, nobody expects a fuller table.
        "level": {"low_money": round(LOW_MONEY * households / max(1.0, setting.asks), 1),
                  "high_money": round(HIGH_MONEY * households, 1), "below_cost": 0.4},
        "work": {"hour_money": 4},
        "crops_used": crops,
        "sow": {crop: weeks for crop, weeks in demo["sow"].items() if crop in crops},
        "solving": {"gap": 0.01},
    }
    if not bare:
        made["standing"] = standing
    if setting.hours_per_week:
        made["work"]["hours_per_week"] = setting.hours_per_week
    if setting.tight:
        made["rotation"] = {family: {"break_weeks": weeks, "rule": "forbid"}
                            for family, weeks in TIGHT.items()}
    return made


def plant(chance, demo, standing, bed, made, spring):
    """Lets something of the demo holding stand in the bed; its crops."""
    inside = made["setting"] == "tunnel"
    fitting = []
    for name, planting in demo["standing"].items():
        there = demo["beds"][planting["bed"]]
        grows = (there["setting"] == "tunnel") == inside and there["setting"] in ("open", "tunnel")
        if (grows and planting["crop"] not in FOR_YEARS and "covered_by" not in there
                and (not spring or name in IN_SPRING)):
            fitting.append(name)
    # Half of the beds hold two crops.
    count = chance.choice([1, 2])
    chosen = chance.sample(fitting, count)
    for part, name in enumerate(chosen):
        first = 1 + part * made["strips"] // count
        last = (part + 1) * made["strips"] // count
        standing[f"{name} {bed}"] = dict(demo["standing"][name], bed=bed, strips=[first, last])
    return [demo["standing"][name]["crop"] for name in chosen]


def by_plot(name, plot):
    chance = random.Random(plot.seed)
    made = yaml.safe_load(PLOT.read_text())
    before = sum(bed["length_m"] * bed["width_m"] for bed in made["beds"].values())
    made["name"] = name
    for bed in made["beds"].values():
        bed.update(length_m=round(0.4 * plot.strips, 3), width_m=1.2, strips=plot.strips)
        bed["history"] = drawn_history(chance, made["start"], [], 1)
    if plot.stands:
        for planting in made["standing"].values():
            planting["strips"] = [1, min(planting["strips"][1], plot.strips)]
    else:
        del made["standing"]
    ground = sum(bed["length_m"] * bed["width_m"] for bed in made["beds"].values())
    factor = plot.asks * ground / before
    for need in made["needs"].values():
        for part in [need, *need.get("seasons", [])]:
            part.update(floor=round(part["floor"] * factor, 3), wish=round(part["wish"] * factor, 3))
    made["level"] = {"low_money": round(4 * factor, 1), "high_money": round(12 * factor, 1), "below_cost": 0.5}
    made["covers"]["low tunnel"]["count"] = plot.tunnel_covers
    for crop in made["sow"].values():
        for span in crop["weeks"]:
            if span[0] == span[1]:
                span[1] = f"W{int(span[0][1:]) + plot.sowings - 1:02d}"
    if plot.tight:
        made["rotation"] = {family: {"break_weeks": weeks, "rule": "forbid"}
                            for family, weeks in TIGHT.items()}
    return made


def many_times(times):
    """The demo holding with everything so many times: beds, what stands, needs, covers, shelf, work."""
    demo = yaml.safe_load(DEMO.read_text())
    made = copy.deepcopy(demo)

    def named(name, number):
        return name if number == 1 else f"{name} {number}"

    numbers = range(1, times + 1)
    made["name"] = f"{demo['name']}, {times} times"
    made["beds"] = {named(name, n): bed for n in numbers for name, bed in demo["beds"].items()}
    made["standing"] = {named(name, n): dict(planting, bed=named(planting["bed"], n))
                        for n in numbers for name, planting in demo["standing"].items()}
    made["households"] = demo["households"] * times
    for key in ("low_money", "high_money"):
        made["level"][key] *= times
    made["work"]["hours_per_week"] *= times
    for cover in made["covers"].values():
        cover["count"] *= times
    for key in ("lit_m2", "unlit_m2"):
        made["shelf"][key] *= times
    for family in made["rotation"].values():
        if "beds" in family:
            family["beds"] = {named(bed, n): rule for n in numbers for bed, rule in family["beds"].items()}
    made["directives"] = []
    for directive in demo["directives"]:
        if "bed" in directive:
            made["directives"] += [dict(directive, bed=named(directive["bed"], n)) for n in numbers]
        else:
            made["directives"].append(dict(directive, strips=directive["strips"] * times))
    return made


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("name", nargs="?", choices=NAMES, metavar="NAME", help="which holding")
    parser.add_argument("--list", action="store_true", help="list the names")
    arguments = parser.parse_args()
    if arguments.list:
        print("\n".join(NAMES))
    elif arguments.name:
        print(holding(arguments.name), end="")
    else:
        parser.error("name a holding, or --list")


if __name__ == "__main__":
    sys.exit(main())
