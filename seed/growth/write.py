#!/usr/bin/env python3
"""Writes `cdc2000.csv` from the tables in the package growthcharts 0.2.1 (see README.md).

    python3 seed/growth/write.py .../site-packages/growthcharts/data > seed/growth/cdc2000.csv
"""

import csv
import sys
from pathlib import Path

folder = Path(sys.argv[1])
tables = {
    name: {(row["Sex"], row["Agemos"]): row for row in csv.DictReader((folder / file).open())}
    for name, file in [("height", "lenage.csv"), ("weight", "wtage.csv")]
}
assert tables["height"].keys() == tables["weight"].keys() and len(tables["height"]) == 436
print("sex,months,height_l,height_m,height_s,weight_l,weight_m,weight_s")
for (sex, months), height in tables["height"].items():
    weight = tables["weight"][sex, months]
    numbers = [table[column] for table in (height, weight) for column in "LMS"]
    print({"1": "boy", "2": "girl"}[sex], months, *numbers, sep=",")
