"""Small scenarios made from scenarios/small-plot.yaml by chance: fewer beds and crops, other
histories, wishes and starts. The same seed gives the same scenario.

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
    made["models"]["crops"] = {
        crop: change for crop, change in made["models"]["crops"].items() if crop in crops
    }
    return yaml.safe_dump(made, sort_keys=True, allow_unicode=True)


if __name__ == "__main__":
    print(scenario(int(sys.argv[1])), end="")
