#!/usr/bin/env python3
"""Hold Blockwright's best fit against a search by somebody else.

    python3 tests/live/check_fit.py PATH_TO_blockwright

Jobs of a rounded outline on irregular sawn blanks are made from fixed seeds. The fit that the proof names, and those
that `fit --json` names with the blank not to be turned, or to be moved along one axis alone, are put into shapely and
their least margins measured there; then scipy looks for better ones with a global search of its own, which must not
find any. The job that `fit -o` writes must have the margin that was named. Nothing here is taken from Blockwright.

Needs: python3, numpy, scipy, shapely 2. Exit status: 0 all comparisons hold, 1 at least one does not.
"""

import json
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import shapely
from scipy.optimize import differential_evolution, minimize
from shapely.affinity import rotate, translate

SEEDS = range(1, 9)
MARGIN = 0.0005  # asked of the fit, in
SAG = 512  # segments of a quarter, for shapely
QUARTER = math.tan(math.pi / 8)


def rounded(w, h, r):
    """Vertices with bulges, and the same as a polygon."""
    points = [
        [r, 0], [w - r, 0, QUARTER], [w, r], [w, h - r, QUARTER],
        [w - r, h], [r, h, QUARTER], [0, h - r], [0, r, QUARTER],
    ]  # fmt: skip
    inner = shapely.box(r, r, w - r, h - r)
    return points, inner.buffer(r, quad_segs=SAG)


def sawn(random, count, rough):
    """A blank of straight saw cuts, concave here and there."""
    angles = np.arange(count) / count * 2 * math.pi
    return np.stack(
        [3.2 * np.cos(angles) + random.uniform(-rough, rough, count) + 1.6,
         2.3 * np.sin(angles) + random.uniform(-rough, rough, count) + 1.0], axis=1
    )  # fmt: skip


def margin(outline, edge):
    """How far the outline lies inside the edge; negative by how far it sticks out, which is enough to climb by."""
    if edge.contains(outline):
        return outline.exterior.distance(edge.exterior)
    return -outline.difference(edge).area ** 0.5


def moved(outline, dx, dy, turn):
    return translate(rotate(outline, turn, origin=outline.centroid), dx, dy)


def search(coarse, edge, free):
    """The best lie that a global search finds when only these of dx, dy and turn are free."""

    def lie(values):
        found = np.zeros(3)
        found[free] = values
        return found

    def cost(values):
        return -margin(moved(coarse, *lie(values)), edge)

    bounds = [[(-1.5, 1.5), (-1.5, 1.5), (-40, 40)][axis] for axis in free]
    found = differential_evolution(cost, bounds, seed=1, maxiter=60, popsize=12, polish=False)
    better = minimize(cost, found.x, method="Nelder-Mead", options={"xatol": 1e-6, "fatol": 1e-7, "maxiter": 2000})
    return lie(better.x)


def told(program, *words):
    run = subprocess.run([program, *map(str, words)], capture_output=True, text=True, timeout=120)
    if run.returncode not in (0, 1):
        raise RuntimeError(run.stderr.strip())
    return json.loads(run.stdout)


def jobs():
    for seed in SEEDS:
        random = np.random.default_rng(seed)
        vertices, outline = rounded(3.2, 2.1, 0.4)
        corners = sawn(random, 8 + 3 * seed, 0.015 * seed)
        job = {
            "schema": "blockwright-job/1",
            "units": "inch",
            "outline": {"vertices": vertices},
            "blank": {"edge": {"vertices": corners.tolist()}, "top": 0, "thickness": 1},
            "tools": [],
            "passes": [],
        }
        yield seed, job, outline, shapely.Polygon(corners)


def fits(program, path, seed):
    """The fits to look at, each with what was free. All of them for two seeds, which is enough for the limits."""
    yield "any move", [0, 1, 2], told(program, "prove", path, "--json")["fit"]
    if seed <= 2:
        for words, free in [(["--no-turn"], [0, 1]), (["--only-x", "--no-turn"], [0]), (["--only-y"], [1, 2])]:
            yield " ".join(words), free, told(program, "fit", path, "--json", *words)["fit"]


def taken_over(program, path):
    """The margin of the job with the fit taken over, as the proof has it, and what was named."""
    target = path.with_suffix(".fit.json")
    named = told(program, "fit", path, "--json", "-o", target)["fit"]["least_margin"]
    return told(program, "prove", target, "--json")["blank"]["least_margin"], named


def main():
    program, wrong, count = sys.argv[1], 0, 0
    coarse = rounded(3.2, 2.1, 0.4)[1].simplify(1e-4)
    with tempfile.TemporaryDirectory() as folder:
        for seed, job, outline, edge in jobs():
            path = Path(folder) / f"{seed}.json"
            path.write_text(json.dumps(job))
            holds = []
            for name, free, fit in fits(program, path, seed):
                least = fit["least_margin"]
                there = margin(moved(outline, fit["dx"], fit["dy"], fit["turn"]), edge)
                best = margin(moved(outline, *search(coarse, edge, free)), edge)
                kept = all(fit[key] == 0 for axis, key in enumerate(("dx", "dy", "turn")) if axis not in free)
                holds += [
                    (abs(there - least) <= MARGIN, f"{name}: margin {least}, shapely says {there}"),
                    (least >= best - MARGIN, f"{name}: margin {least}, scipy found {best}"),
                    (kept, f"{name}: {fit} moves what it must not"),
                ]
            after, named = taken_over(program, path)
            holds.append((after >= named - 1e-6, f"taken over: {named} was named, the proof has {after}"))
            for held, said in holds:
                count += 1
                if not held:
                    print(f"seed {seed}: {said}")
                    wrong += 1
    print(f"{count - wrong} passed, {wrong} failed")
    return 1 if wrong or not count else 0


if __name__ == "__main__":
    sys.exit(main())
