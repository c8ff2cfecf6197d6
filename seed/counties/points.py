#!/usr/bin/env python3
"""Finds a place within each county: `points.csv` from the two atlas packages that README.md names.

    python3 seed/counties/points.py tests/browser/node_modules > seed/counties/points.csv

The place is the point of the county's biggest piece that is farthest from its borders, in degrees. A county that the
packages draw as a mere line has the middle of it. One line a code: a code of both editions has its place from 2023.
Needs nothing but Python's own library and draw.py beside this file.
"""

import heapq
import itertools
import math
import sys
from pathlib import Path

sys.dont_write_bytecode = True

from draw import EDITIONS, area, inside, margin, read, ring_of  # noqa: E402

# Degrees. The places are written to a thousandth, which is 111 metres or less.
FINEST = 0.0002


def farthest(rings):
    """The point farthest from every border. Squares are cut in four, those first that may hold the farthest; a square
    is let go when even its corners could not be farther than the best point so far."""
    xs, ys = [x for x, _ in rings[0]], [y for _, y in rings[0]]
    half = max(max(xs) - min(xs), max(ys) - min(ys)) / 2
    best, count = (-math.inf, None), itertools.count()
    squares = []

    def look(x, y, half):
        nonlocal best
        at = margin((x, y), rings)
        best = max(best, (at, (x, y)))
        # The counter keeps squares of one promise in the order in which they were cut.
        heapq.heappush(squares, (-(at + half * math.sqrt(2)), next(count), x, y, half))

    look((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, half)
    while squares and -squares[0][0] > best[0] + FINEST:
        _, _, x, y, half = heapq.heappop(squares)
        for dx, dy in itertools.product((-half / 2, half / 2), repeat=2):
            look(x + dx, y + dy, half / 2)
    return best[1]


def point_of(polygons, arcs):
    """Degrees east and north, on a plane that is true to scale at the county's own latitude."""
    outlines = [[ring_of(ring, arcs) for ring in polygon] for polygon in polygons]
    # West of the date line an island is still west.
    turned = [[[(x - 360 if x > 0 else x, y) for x, y in ring] for ring in outline] for outline in outlines]
    lats = [y for outline in turned for ring in outline for _, y in ring]
    narrow = math.cos(math.radians((min(lats) + max(lats)) / 2))
    flat = [[[(x * narrow, y) for x, y in ring] for ring in outline] for outline in turned]
    biggest = max(flat, key=lambda outline: area(outline[0]))
    # A mere line has no inside to look in.
    middle = tuple(sum(side) / len(biggest[0]) for side in zip(*biggest[0]))
    x, y = farthest(biggest) if area(biggest[0]) > 0 else middle
    east, north = round(x / narrow, 3), round(y, 3)
    if area(biggest[0]) > 0 and not inside((east * narrow, north), biggest):
        raise SystemExit(f"{east} {north} lies outside its county")
    return east + 360 if east < -180 else east, north


def main():
    packages = Path(sys.argv[1])
    points = {}
    for _, name in EDITIONS:
        arcs, states = read(packages / name / "counties-10m.json")
        for counties in states.values():
            for code, polygons in counties.items():
                if code not in points:
                    points[code] = point_of(polygons, arcs)
    print("fips,north,east")
    for code, (east, north) in sorted(points.items()):
        print(f"{code},{north:.3f},{east:.3f}")


main()
