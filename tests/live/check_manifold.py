#!/usr/bin/env python3
"""Hold the volumes of `blockwright prove --json` against solids made by somebody else.

    python3 tests/live/check_manifold.py PATH_TO_blockwright

For every samples/*/job.json, and for the small jobs of generated.py beside this file, the cutters are carried along
their paths as solids of manifold3d, a general-purpose geometry library, and taken from the extruded blank. What each
pass takes is compared with `removed_volume`. Nothing here is taken from Blockwright: jobs, programs and cutters are
read by reader.py beside it. Where a small job has a closed form, the solids are held against it first.

How a cutter is carried: a level straight move is its whole silhouette extruded along the move, a level arc the
silhouette turned about the arc's centre, both with the cutter itself at either end. Any other move, a helix cut into
short ones first, is the hull of the cutter at its start and at its end, for each part of the cutter that is convex.

At last 2,000 short moves are timed in the proof, the solids take off as many of them as half a minute allows, and the
ratio is printed.

Needs: python3, manifold3d, numpy. Exit status: 0 all volumes agree, 1 at least one does not.
"""

import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import manifold3d
import numpy as np
from manifold3d import CrossSection, Manifold, OpType

import generated
from reader import evened, job_of, motions, silhouette, turn_of, zero_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"

AGREE = 0.002  # volumes may differ by this part, those of a whole job and of each pass
CLOSED = 0.0005  # the solids may differ from a closed form by this part
SIDES = 180  # of a turn about the centre of an arc
ROUND = 48  # of a cutter where it is a solid of its own; turned so that a corner lies square to the move
CORNER_STEPS = 16  # chords of a rounded corner of a cutter
HELIX_CHORDS = 32  # of one turn of a helix, made with a cutter of so many sides and chords of its corner
HELIX_ROUND = 24
HELIX_STEPS = 6
RACE = 30.0  # seconds for the solids to take off as many of the 2,000 moves as they can
EDGE_SIDES = 2000  # of a turn of an arc of the sawn edge


# ------------------------------------------------------------------------------------------------- cutters


class Cutter:
    """A cutter as solids, long enough to stand out of the block wherever it goes."""

    def __init__(self, form, length, steps=CORNER_STEPS):
        points = silhouette(form, steps)
        self.points = points + [(points[-1][0], max(length, points[-1][1] * 1.01))]
        self.radius = max(r for r, _ in self.points)
        # both sides of the silhouette, counter-clockwise
        right = self.points if self.points[0][0] == 0.0 else [(0.0, points[0][1]), *self.points]
        left = [(-r, z) for r, z in reversed(right) if r > 0.0]
        self.both = np.array(right + left)
        self.parts = convex_parts(self.points)
        self.whole = CrossSection([np.array(right + [(0.0, self.points[-1][1])])]).revolve(ROUND)

    def at(self, tip, heading):
        """The cutter standing at a place."""
        return self.whole.rotate((0.0, 0.0, math.degrees(heading))).translate(tip)

    def straight(self, start, end):
        """Along a level line: the silhouette extruded."""
        along = np.subtract(end[:2], start[:2])
        length = math.hypot(*along)
        x, y = along / length
        placed = np.array([[-y, 0.0, x, start[0]], [x, 0.0, y, start[1]], [0.0, 1.0, 0.0, start[2]]])
        prism = CrossSection([self.both]).extrude(length).transform(placed)
        heading = math.atan2(y, x)
        return [prism, self.at(start, heading), self.at(end, heading)]

    def arc(self, start, end, centre, turn):
        """Along a level arc: the silhouette turned about its centre, wider by so much that the chords keep its area."""
        radius = (math.dist(start[:2], centre) + math.dist(end[:2], centre)) / 2.0
        wider = evened(math.tau / SIDES)
        first = math.atan2(start[1] - centre[1], start[0] - centre[0]) + min(turn, 0.0)
        found = []
        # what reaches beyond the centre is swept on its other side
        for out, spin in ((radius, 0.0), (-radius, 180.0)) if radius < self.radius else ((radius, 0.0),):
            half = CrossSection([self.both + (out, 0.0)])
            ring = half.revolve(SIDES, math.degrees(abs(turn))).scale((wider, wider, 1.0))
            found.append(ring.rotate((0.0, 0.0, math.degrees(first) + spin)).translate((*centre, start[2])))
        headings = [math.atan2(p[1] - centre[1], p[0] - centre[0]) for p in (start, end)]
        return found + [self.at(p, heading) for p, heading in zip((start, end), headings)]

    def hulls(self, start, end, sides=ROUND):
        """Along any line: the hulls of each convex part at both ends."""
        heading = math.atan2(end[1] - start[1], end[0] - start[0])
        angles = heading + np.arange(sides) * (math.tau / sides)
        ring = np.stack([np.cos(angles), np.sin(angles)], axis=1)
        if start[:2] == end[:2]:  # straight down it is the area that counts, on the way the width
            ring *= evened(math.tau / sides)
        found = []
        for part in self.parts:
            body = np.concatenate([np.column_stack([ring * r, np.full(sides, z)]) for r, z in part])
            found.append(Manifold.hull_points(np.concatenate([body + start, body + end])))
        return found


def convex_parts(points):
    """A silhouette cut where the radius turns from growing slower to growing faster, so that each part is convex."""
    parts, part = [], [points[0]]
    for before, here in zip(points, points[1:]):
        if len(part) >= 2:
            (r0, z0), (r1, z1) = part[-2], part[-1]
            bend = (r1 - r0) * (here[1] - z1) - (here[0] - r1) * (z1 - z0)
            if bend < -1e-12:
                parts.append(part)
                part = [before]
        part.append(here)
    return [*parts, part]


# -------------------------------------------------------------------------------------------------- passes


def pieces(job, given, text, form):
    """What the cutter sweeps on each motion that comes below the top of the block, motion by motion."""
    cutter, plain = (Cutter(form, 2.0 * job["blank"]["thickness"], s) for s in (CORNER_STEPS, HELIX_STEPS))
    zero, top = zero_of(given), job["blank"]["top"]
    for mode, start, end, centre in motions(text, job["units"]):
        if None in start or None in end:
            continue
        start, end = (tuple(a + b for a, b in zip(p, zero)) for p in (start, end))
        if min(start[2], end[2]) >= top or (start == end and mode < 2):
            continue
        if mode >= 2:
            centre = (centre[0] + zero[0], centre[1] + zero[1])
            turn = turn_of(mode, start, end, centre)
            if start[2] == end[2]:
                yield cutter.arc(start, end, centre, turn)
            else:
                yield helix(plain, start, end, centre, turn)
        elif start[2] == end[2]:
            yield cutter.straight(start, end)
        else:
            yield cutter.hulls(start, end)


def helix(cutter, start, end, centre, turn):
    radius = math.dist(start[:2], centre)
    count = math.ceil(abs(turn) / math.tau * HELIX_CHORDS)
    first = math.atan2(start[1] - centre[1], start[0] - centre[0])
    along = [(first + turn * k / count, start[2] + (end[2] - start[2]) * k / count) for k in range(count + 1)]
    places = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a), z) for a, z in along]
    return [hull for a, b in zip(places, places[1:]) for hull in cutter.hulls(a, b, HELIX_ROUND)]


def blank_of(job):
    blank = job["blank"]
    ring, vertices = [], [(*v, 0.0)[:3] for v in blank["edge"]["vertices"]]
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1]):
        ring.append((x0, y0))
        if bulge:
            k = (1.0 - bulge * bulge) / (4.0 * bulge)
            centre = ((x0 + x1) / 2.0 - (y1 - y0) * k, (y0 + y1) / 2.0 + (x1 - x0) * k)
            radius, first = math.dist((x0, y0), centre), math.atan2(y0 - centre[1], x0 - centre[0])
            turn = 4.0 * math.atan(bulge)
            count = math.ceil(abs(turn) / math.tau * EDGE_SIDES)
            angles = [first + turn * i / count for i in range(1, count)]
            ring += [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
    section = CrossSection([np.array(ring)])
    return section.extrude(blank["thickness"]).translate((0.0, 0.0, blank["top"] - blank["thickness"]))


def volumes(folder):
    """What each pass of a job takes."""
    job = job_of(folder)
    tools = {tool["number"]: tool for tool in job["tools"]}
    block, taken = blank_of(job), []
    for given in job["passes"]:
        text = (folder / given["program"]).read_text(encoding="ascii")
        block, cut = after_pass(job, tools[given["tool"]], given, text, block)
        taken.append(cut)
    return job, taken


def after_pass(job, tool, given, text, block):
    swept = [piece for some in pieces(job, given, text, tool["form"]) for piece in some]
    left = Manifold.batch_boolean([block, *swept], OpType.Subtract)
    if left.status() != manifold3d.Error.NoError:
        raise ValueError(f"{given['name']}: the solids could not be cut: {left.status()}")
    return left, block.volume() - left.volume()


# ---------------------------------------------------------------------------------------------- comparing


def prove(binary, job):
    started = time.perf_counter()
    run = subprocess.run([binary, "prove", str(job), "--json"], stdin=subprocess.DEVNULL, capture_output=True,
                         timeout=300, check=False)
    if run.returncode not in (0, 1):
        raise RuntimeError(f"exit status {run.returncode}: {run.stderr.decode(errors='replace').strip()}")
    return json.loads(run.stdout), time.perf_counter() - started


class Tally:
    """The rows of the table, and how many of them failed."""

    def __init__(self):
        self.passed = self.failed = 0

    def row(self, job, what, got, want, allowed):
        off = got / want - 1.0 if want else math.inf if got else 0.0
        good = abs(off) <= allowed
        self.passed, self.failed = self.passed + good, self.failed + (not good)
        print(f"{job:<20} {what:<34} {got:>12.6g} {want:>12.6g} {100.0 * off:>+9.4f} %{'' if good else '  FAILED'}")

    def fail(self, job, message):
        self.failed += 1
        print(f"{job:<20} FAILED  {message}")


def compare(binary, folder, closed, tally):
    """One job, pass by pass and in sum, and the solids against closed forms where there are some."""
    job, taken = volumes(folder)
    proof, _ = prove(binary, folder / "job.json")
    for given, solid, exact in zip(job["passes"], taken, closed or [None] * len(taken)):
        if exact is not None:
            tally.row(folder.name, f"{given['name']}: solids, closed form", solid, exact, CLOSED)
    removed = [row.get("removed_volume", 0.0) for row in proof["passes"]]
    if len(removed) != len(taken):
        raise ValueError(f"{len(removed)} passes proven, {len(taken)} expected")
    for given, got, want in zip(job["passes"], removed, taken):
        tally.row(folder.name, given["name"], got, want, AGREE)
    total = sum(taken)
    tally.row(folder.name, "all passes", sum(removed), total, AGREE)


def race(binary, place):
    """Many short moves taken off by the proof, and as many of them as there is time for by the solids in turn."""
    folder, plain = generated.many_moves(place), generated.many_moves(place, count=1)
    job = job_of(folder)
    given, form = job["passes"][0], job["tools"][0]["form"]
    text = (folder / given["program"]).read_text(encoding="ascii")
    block, moves, done = blank_of(job), list(pieces(job, given, text, form)), 0
    started = time.perf_counter()
    while done < len(moves) and time.perf_counter() - started < RACE:
        block = Manifold.batch_boolean([block, *moves[done]], OpType.Subtract)
        block.num_tri()  # a solid is only worked out when something is asked of it
        done += 1
    solid = time.perf_counter() - started
    # the moves alone: without starting the program, making the blank and writing the proof, as a single move needs them
    whole, start = (min(prove(binary, job / "job.json")[1] for _ in range(5)) for job in (folder, plain))
    least = "" if done == len(moves) else "at least "
    print(f"\n{len(moves)} moves: the proof {whole:.3f} s, that of a single move {start:.3f} s; solids, {done} of them in turn, "
          f"{solid:.1f} s: {least}{solid / max(whole - start, 1e-3):.0f} times")


def main():
    if len(sys.argv) != 2:
        print("usage: check_manifold.py PATH_TO_blockwright", file=sys.stderr)
        return 1
    tally = Tally()
    print(f"{'job':<20} {'pass':<34} {'proven':>12} {'solids':>12} {'off':>11}")
    with tempfile.TemporaryDirectory() as place:
        small = generated.write_all(Path(place))
        jobs = [(path.parent, None) for path in sorted(SAMPLES.glob("*/job.json"))] + small
        for folder, closed in jobs:
            try:
                compare(sys.argv[1], folder, closed, tally)
            except Exception as fault:  # one bad job must not hide the others
                tally.fail(folder.name, f"{type(fault).__name__}: {fault}")
        race(sys.argv[1], Path(place))
    print(f"\n{tally.passed} passed, {tally.failed} failed")
    return 1 if tally.failed else 0


if __name__ == "__main__":
    sys.exit(main())
