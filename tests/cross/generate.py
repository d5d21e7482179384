"""Small scenarios made from scenarios/small-plot.yaml by chance: fewer beds and crops, other
histories, wishes and starts; every third with food in store, plants on the shelf and plantings
decided on. The same seed gives the same scenario.

    python tests/cross/generate.py 7 > small-7.yaml
"""

import pathlib
import random
import sys

import yaml

BASE = pathlib.Path(__file__).resolve().parents[2] / "scenarios" / "small-plot.yaml"
# Crops of the small plot by the food they give.
CROPS = {
    "cooking greens": ["winter spinach", "leaf beet"],
    "cabbage heads": ["spring cabbage"],
    "carrots": ["winter carrots"],
    "roots": ["parsnips"],
    "potatoes": ["maincrop potatoes"],
    "onions": ["onions from sets"],
    "leeks": ["winter leeks"],
    "garlic heads": ["garlic"],
    "broad beans": ["overwintered broad beans"],
    "green beans": ["runner beans"],
    "squash": ["squash"],
}
# Crops that keep, with the way they are harvested; crops raised in modules; crops sown or set in
# place, with the method and the week.
KEEPING = {"maincrop potatoes": "tubers", "onions from sets": "bulbs", "squash": "fruits",
           "garlic": "bulbs", "winter carrots": "roots"}
MODULES = ["winter leeks", "spring cabbage"]
IN_PLACE = {"parsnips": ("direct", 13), "leaf beet": ("direct 2", 16), "runner beans": ("direct", 22),
            "winter carrots": ("direct", 25), "winter spinach": ("direct", 35),
            "onions from sets": ("sets", 10)}
FAMILIES = ["potato", "legume", "carrot", "gourd", "allium", "brassica", "beet"]


def scenario(seed):
    chance = random.Random(seed)
    made = yaml.safe_load(BASE.read_text())
    made["name"] = f"Plot by chance {seed}"
    made["start"] = f"2027-W{chance.choice([8, 9, 10]):02d}"
    made["weeks"] = chance.choice([44, 48, 52])
    made["tail"] = chance.choice([0, 4])
    made["households"] = 1
    beds = chance.sample(sorted(made["beds"]), 4)
    made["beds"] = {name: made["beds"][name] for name in sorted(beds)}
    for bed in made["beds"].values():
        bed["strips"] = chance.choice([2, 3])
        bed["history"] = [{"family": chance.choice(FAMILIES),
                           "cleared": f"2026-W{chance.randint(30, 44)}"}]
    foods = chance.sample(sorted(CROPS), 7)
    made["needs"] = {food: made["needs"][food] for food in sorted(foods)}
    for need in made["needs"].values():
        factor = chance.choice([0.5, 1.0, 1.5])
        for part in [need, *need.get("seasons", [])]:
            part["floor"] = round(part["floor"] * factor, 3)
            part["wish"] = round(part["wish"] * factor, 3)
    crops = sorted(crop for food in foods for crop in CROPS[food])
    made["crops_used"] = crops
    made["standing"] = {
        name: dict(planting, strips=[1, min(2, made["beds"][planting["bed"]]["strips"])])
        for name, planting in made["standing"].items()
        if planting["bed"] in made["beds"] and planting["crop"] in crops
    }
    low = chance.choice([1, 2, 3])
    made["level"] = {"low_money": low, "high_money": 3 * low, "below_cost": 0.5}
    made["sow"] = {crop: weeks for crop, weeks in made["sow"].items() if crop in crops}
    if seed % 3 == 0:
        add_start(made, crops, chance)
    return yaml.safe_dump(made, sort_keys=True, allow_unicode=True)


def add_start(made, crops, chance):
    """What is to hand and decided on at the start."""
    start = int(made["start"][-2:])
    made["in_store"] = {
        f"store {n}": {"crop": crop, "way": KEEPING[crop], "amount": round(chance.uniform(0.5, 6), 2),
                       "harvested": f"2027-W{start - chance.randint(1, 5):02d}"}
        for n, crop in enumerate(crop for crop in crops if crop in KEEPING)
    }
    made["on_shelf"] = {
        f"tray {n}": {"crop": crop, "sown": f"2027-W{start - chance.randint(1, 6):02d}",
                      "plants": chance.choice([10, 25, 40])}
        for n, crop in enumerate(crop for crop in crops if crop in MODULES)
    }
    beds = sorted(made["beds"])
    made["planned"] = {}
    for tray in made["on_shelf"].values():
        bed = chance.choice(beds)
        made["planned"][f"out {len(made['planned'])}"] = {
            "bed": bed, "strips": list(range(1, made["beds"][bed]["strips"] + 1)),
            "crop": tray["crop"], "raising": "modules", "sown": tray["sown"],
            "planted": f"2027-W{start + chance.randint(0, 4):02d}",
        }
    for crop in crops:
        if crop in IN_PLACE and chance.random() < 0.8:
            method, week = IN_PLACE[crop]
            bed = chance.choice(beds)
            count = chance.randint(1, made["beds"][bed]["strips"])
            made["planned"][f"sow {len(made['planned'])}"] = {
                "bed": bed, "strips": chance.sample(range(1, made["beds"][bed]["strips"] + 1), count),
                "crop": crop, "raising": method, "sown": f"2027-W{week:02d}",
                "bought": chance.random() < 0.5,
            }
    made["changes"] = {"drop_money_per_m2": chance.choice([0.2, 1.0]),
                       "drop_begun_money_per_m2": chance.choice([0.5, 2.0]),
                       "move_money_per_m2": chance.choice([0.05, 0.4, 3.0]),
                       "add_money_per_m2": chance.choice([0.0, 0.2, 0.8])}


if __name__ == "__main__":
    print(scenario(int(sys.argv[1])), end="")
