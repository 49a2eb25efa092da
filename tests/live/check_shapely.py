#!/usr/bin/env python3
"""Hold `blockwright prove --json` against plane geometry done by somebody else.

    python3 tests/live/check_shapely.py PATH_TO_blockwright

For every samples/*/job.json the blank's edge, less the union of the buffered tool paths of each pass, is computed
with shapely. Rays square to the outline are marched over it, and what they say about leave, cut and contact is
compared with the proof. Nothing here is taken from Blockwright: outline and edge are followed by the few lines below;
job, drawing, programs and cutters are read by those of reader.py beside it, which refuse what they do not know.

Needs: python3, shapely 2 (which brings numpy). Exit status: 0 all comparisons hold, 1 at least one does not.
"""

import json
import math
import re
import subprocess
import sys
from pathlib import Path

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from reader import arc_points, arc_steps, job_of, motions, silhouette, widest, zero_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"

# Tolerances by the job's unit.
LEAVE = {"inch": 0.0002, "mm": 0.005}  # leave, cut, margin, short: the asked-for 0.0001 in, and as much for this reader
ENDS = {"inch": 0.005, "mm": 0.12}  # ends of a stretch
PLACE = {"inch": 0.02, "mm": 0.5}  # station of the least margin, which changes little near its least
FEED_LENGTH = 1e-3  # length of feed motion, either unit
NONE_BELOW = {"inch": 0.0001, "mm": 0.0025}  # thinner is no contact
SAG = {"inch": 5e-7, "mm": 1e-5}  # arcs are flattened this finely
QUAD_SEGS = 512
PROFILE_STEPS = 4096  # chords of a rounded corner of a cutter
STATIONS = 400  # marched everywhere, and SUB times as many to find where the state of contact changes
SUB = 10

# What the samples are made to show. A sample that is not listed may show anything.
FINDINGS = {
    "signal-lamp-bezel": {"no-contact", "light-cut"},
    "vent-cover-die": {"blank-short", "no-contact"},
    "round-puck": set(),
    "bracket-shoe": set(),
    "drip-tray-die": set(),
    "hinge-leaf-die": set(),
    "hinge-pad-die": {"blank-short", "no-contact"},
    "latch-plate-die": {"blank-short", "no-contact"},
    "shelf-angle-die": {"tool-too-wide", "leave-off-allowance"},
}


# ---------------------------------------------------------------------------------------- outline and edge


class Span:
    """A line or an arc of a closed path, by its ends and bulge."""

    def __init__(self, start, end, bulge):
        self.p, self.q, self.bulge = np.array(start, float), np.array(end, float), bulge
        chord = self.q - self.p
        reach = math.hypot(*chord)
        if bulge == 0.0:
            self.length = reach
            self.along = chord / reach
        else:
            self.turn = 4.0 * math.atan(bulge)
            self.radius = reach * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
            left = np.array([-chord[1], chord[0]])
            self.centre = (self.p + self.q) / 2.0 + left * (1.0 - bulge * bulge) / (4.0 * bulge)
            self.length = self.radius * abs(self.turn)
            self.first = math.atan2(*(self.p - self.centre)[::-1])

    def at(self, distance):
        """Point and unit vector to the right of travel, which is outward when the path runs counter-clockwise."""
        if self.bulge == 0.0:
            return self.p + self.along * distance, np.array([self.along[1], -self.along[0]])
        angle = self.first + self.turn * distance / self.length
        spoke = np.array([math.cos(angle), math.sin(angle)])
        return self.centre + self.radius * spoke, spoke * math.copysign(1.0, self.turn)

    def flat(self, sag):
        if self.bulge == 0.0:
            return [tuple(self.p)]
        count = arc_steps(self.radius, self.turn, sag)
        return [tuple(self.at(self.length * k / count)[0]) for k in range(count)]


class Closed:
    """A closed path with stations."""

    def __init__(self, described, sag):
        vertices = [(v[0], v[1], v[2] if len(v) > 2 else 0.0) for v in described["vertices"]]
        self.spans = [Span(a[:2], b[:2], a[2]) for a, b in zip(vertices, vertices[1:] + vertices[:1])]
        self.starts = np.concatenate([[0.0], np.cumsum([span.length for span in self.spans])])
        self.length = float(self.starts[-1])
        ring = [point for span in self.spans for point in span.flat(sag)]
        self.polygon = Polygon(ring)
        self.flip = 1.0 if self.polygon.exterior.is_ccw else -1.0
        self.corners = [v[:2] for v in vertices]

    def at(self, station):
        station %= self.length
        k = min(int(np.searchsorted(self.starts, station, side="right")) - 1, len(self.spans) - 1)
        point, outward = self.spans[k].at(station - self.starts[k])
        return point, outward * self.flip

    def nearest_station(self, point):
        """The station whose square ray goes through the point; among several, the nearest."""
        point, best = np.array(point), (math.inf, 0.0)
        for start, span in zip(self.starts, self.spans):
            if span.bulge == 0.0:
                distance = float(np.dot(point - span.p, span.along))
            else:
                angle = math.atan2(*(point - span.centre)[::-1]) - span.first
                angle = angle % math.tau if span.turn > 0 else -(-angle % math.tau)
                distance = angle / span.turn * span.length
            distance = min(max(distance, 0.0), span.length)
            best = min(best, (math.hypot(*(span.at(distance)[0] - point)), start + distance))
        return best[1]


# ---------------------------------------------------------------------------------------------- swept area


def sweep(job, tool, given, text, gauge, sag):
    """Area that the pass's tool sweeps at the gauge height, and the length of its feed motions."""
    points_of_tool = silhouette(tool["form"], PROFILE_STEPS)
    zero = zero_of(given)
    lines, feed = {}, 0.0
    for mode, start, end, centre in motions(text, job["units"]):
        rise = 0.0 if None in (start[2], end[2]) else end[2] - start[2]
        if mode in (2, 3):
            points, length = arc_points(mode, start, end, centre, sag)
        elif None in start[:2]:
            points, length = [end[:2]], 0.0
        else:
            points, length = [start[:2], end[:2]], math.dist(start[:2], end[:2])
        if mode != 0:
            feed += math.hypot(length, rise)
        if end[2] is None or None in end[:2]:
            continue
        tips = [z + zero[2] for z in (start[2], end[2]) if z is not None]
        if min(tips) >= gauge:
            continue
        points = [(x + zero[0], y + zero[1]) for x, y in points]
        single = len(points) == 1 or all(point == points[0] for point in points)
        if rise != 0.0 and not single:
            raise ValueError("a motion that slopes through the gauge height is not known here")
        radius = widest(points_of_tool, gauge - max(tips), gauge - min(tips))
        lines.setdefault(radius, []).append(Point(points[0]) if single else LineString(points))
    buffers = [line.buffer(radius, quad_segs=QUAD_SEGS) for radius, some in lines.items() for line in some]
    return unary_union(buffers) if buffers else None, feed


# --------------------------------------------------------------------------------------------------- rays


class Metal:
    """A polygon (or several) as a bag of edges, to be met by rays."""

    def __init__(self, area):
        rings = []
        for part in getattr(area, "geoms", [area]):
            if part.geom_type == "Polygon":
                rings += [part.exterior, *part.interiors]
        a = [np.asarray(ring.coords)[:-1, :2] for ring in rings]
        b = [np.roll(points, -1, axis=0) for points in a]
        self.a, self.b = np.concatenate(a), np.concatenate(b)

    def leave(self, point, outward):
        """In metal: how far outward it ends. In air: less the way inward to the first metal."""
        across = np.array([-outward[1], outward[0]])
        sa, sb = (self.a - point) @ across, (self.b - point) @ across
        hit = (sa > 0.0) != (sb > 0.0)
        ta, tb = (self.a[hit] - point) @ outward, (self.b[hit] - point) @ outward
        sa, sb = sa[hit], sb[hit]
        t = np.sort(ta + (tb - ta) * sa / (sa - sb))
        inside = list(zip(t[0::2], t[1::2]))
        for low, high in inside:
            if low <= 0.0 <= high:
                return float(high)
        before = [high for _, high in inside if high < 0.0]
        return float(max(before)) if before else -math.inf


def extreme(function, stations, values, length, sign):
    """Greatest of sign * function: the best station marched, then closed in on between its neighbours."""
    order = np.argsort(-sign * values)[:6]
    best = (sign * values[order[0]], stations[order[0]])
    for k in order:
        low, high = stations[k - 1], stations[(k + 1) % len(stations)]
        low = low - length if low > stations[k] else low
        high = high + length if high < stations[k] else high
        for _ in range(48):
            one, two = low + (high - low) / 3.0, high - (high - low) / 3.0
            if sign * function(one) < sign * function(two):
                low = one
            else:
                high = two
        middle = (low + high) / 2.0
        best = max(best, (sign * function(middle), middle % length))
    return sign * best[0], best[1]


def stretches(state, stations, length, shortest):
    """Rows (state, from, to) over the whole outline, ends found by halving, the very short ones left out."""
    marks = np.concatenate([stations, [length]])
    seen = [state(s) for s in stations]
    seen.append(seen[0])
    rows, start = [], 0.0
    for k in range(len(stations)):
        if seen[k] == seen[k + 1]:
            continue
        # there may be a third state between two stations: look at it in steps
        steps = np.linspace(marks[k], marks[k + 1], 9)
        kinds = [seen[k], *[state(s) for s in steps[1:-1]], seen[k + 1]]
        for low, high, a, b in zip(steps, steps[1:], kinds, kinds[1:]):
            if a == b:
                continue
            for _ in range(40):
                middle = (low + high) / 2.0
                low, high = (middle, high) if state(middle) == a else (low, middle)
            rows.append((a, start, high))
            start = high
    rows.append((seen[-2], start, length))
    return tidy(rows, shortest)


def tidy(rows, shortest):
    """The same rows without those shorter than an end can be told; equal neighbours made one."""
    out = []
    for state, start, end in rows:
        if end - start < shortest and len(rows) > 1:
            if out:
                out[-1] = (out[-1][0], out[-1][1], end)
            continue
        if out and out[-1][0] == state:
            out[-1] = (state, out[-1][1], end)
        else:
            out.append((state, out[-1][2] if out else 0.0, end))
    return out


def expected(folder):
    """What the proof of a job should say, from plane geometry alone."""
    job = job_of(folder)
    units = job["units"]
    sag = SAG[units]
    outline, edge = Closed(job["outline"], sag), Closed(job["blank"]["edge"], sag)
    gauge = job.get("gauge_height", job["blank"]["top"] - job["blank"]["thickness"] / 2.0)
    limits = job.get("contact", {})
    fine = np.arange(STATIONS * SUB) * (outline.length / (STATIONS * SUB))
    corners = [outline.nearest_station(corner) % outline.length for corner in edge.corners]
    stations = np.unique(np.concatenate([fine[::SUB], outline.starts[:-1], corners]))
    fine = np.unique(np.concatenate([fine, stations]))

    def kind(cut):
        if cut < NONE_BELOW[units]:
            return "none"
        if cut < limits.get("light_below", 0.0):
            return "light"
        return "heavy" if cut > limits.get("heavy_above", math.inf) else "full"

    area, metal = edge.polygon, Metal(edge.polygon)
    blank = metal
    margin = lambda s: blank.leave(*outline.at(s))
    values = np.array([margin(s) for s in stations])
    least, at = extreme(margin, stations, values, outline.length, -1.0)
    short_rows = stretches(lambda s: margin(s) < 0.0, fine, outline.length, ENDS[units])
    short = []
    for is_short, start, end in short_rows:
        if is_short:
            inner = np.linspace(start, end, STATIONS)
            short.append({"from": float(start), "to": float(end), "most": -min(margin(s) for s in inner)})
    if len(short) > 1 and short[0]["from"] == 0.0 and short[-1]["to"] == outline.length:
        # over the first vertex it is one
        first = short.pop(0)
        short[-1] = {"from": short[-1]["from"], "to": first["to"], "most": max(first["most"], short[-1]["most"])}
    result = {"units": units, "length": outline.length, "least_margin": least, "least_margin_at": at,
              "short": short, "passes": []}
    tools = {tool["number"]: tool for tool in job["tools"]}
    for given in job["passes"]:
        text = (folder / given["program"]).read_text(encoding="ascii")
        swept, feed = sweep(job, tools[given["tool"]], given, text, gauge, sag)
        row = {"name": given["name"], "feed_length": feed}
        after_area = area.difference(swept) if swept is not None else area
        after = Metal(after_area)
        if "allowance" in given:
            before = metal
            leave = lambda s: after.leave(*outline.at(s))
            cut = lambda s: before.leave(*outline.at(s)) - after.leave(*outline.at(s))
            leaves = np.array([leave(s) for s in stations])
            cuts = np.array([cut(s) for s in stations])
            row["leave"] = [extreme(leave, stations, leaves, outline.length, sign) for sign in (-1.0, 1.0)]
            row["cut"] = [extreme(cut, stations, cuts, outline.length, sign) for sign in (-1.0, 1.0)]
            row["contact"] = stretches(lambda s: kind(cut(s)), fine, outline.length, ENDS[units])
            inside = outline.polygon.intersection(area).intersection(swept)
            parts = [p for p in getattr(inside, "geoms", [inside]) if not p.is_empty and p.geom_type == "Polygon"]
            line = outline.polygon.exterior
            corners_of = [shapely.points(np.asarray(p.exterior.coords)[:, :2]) for p in parts]
            row["past"] = max((float(shapely.distance(line, points).max()) for points in corners_of), default=0.0)
        result["passes"].append(row)
        area, metal = after_area, after
    return result


# ---------------------------------------------------------------------------------------------- comparing


class Tally:
    def __init__(self):
        self.passed = self.failed = 0
        self.worst = {}

    def near(self, sample, what, got, want, tolerance):
        group = re.sub(r"\[.*?\]", "", what)
        if got is None:
            self.fail(sample, f"{what}: absent, {want:.5f} expected")
            return
        off = abs(got - want)
        key = (sample, group)
        if off >= self.worst.get(key, (-1.0,))[0]:
            self.worst[key] = (off, tolerance, what)
        if off <= tolerance:
            self.passed += 1
        else:
            self.fail(sample, f"{what}: {got:.5f} proven, {want:.5f} expected (off {off:.5f}, allowed {tolerance})")

    def hold(self, sample, what, good):
        if good:
            self.passed += 1
        else:
            self.fail(sample, what)

    def fail(self, sample, message):
        self.failed += 1
        print(f"FAILED  {sample}: {message}")


def compare(sample, want, proof, status, tally):
    units = want["units"]
    leave, ends, place = LEAVE[units], ENDS[units], PLACE[units]
    tally.hold(sample, f"schema is {proof.get('schema')}", proof.get("schema") == "blockwright-proof/1")
    tally.hold(sample, "verdict is unproven", proof.get("verdict") != "unproven")
    tally.hold(sample, f"exit status {status} does not fit the findings",
               status == (1 if any(f["severity"] != "note" for f in proof["findings"]) else 0))
    tally.near(sample, "outline.length", proof["outline"].get("length"), want["length"], leave)
    blank = proof.get("blank", {})
    tally.near(sample, "blank.least_margin", blank.get("least_margin"), want["least_margin"], leave)
    short = blank.get("short", [])
    tally.hold(sample, f"blank.short: {len(short)} rows, {len(want['short'])} expected",
               len(short) == len(want["short"]))
    for got, row in zip(short, want["short"]):
        tally.near(sample, "blank.short.from", got["from"], row["from"], ends)
        tally.near(sample, "blank.short.to", got["to"], row["to"], ends)
        tally.near(sample, "blank.short.most", got["most"], row["most"], leave)
    tally.hold(sample, "number of passes", len(proof["passes"]) == len(want["passes"]))
    for index, (got, row) in enumerate(zip(proof["passes"], want["passes"]), 1):
        name = f"pass[{index}]"
        tally.near(sample, f"{name}.feed_length", got.get("feed_length"), row["feed_length"], FEED_LENGTH)
        if "leave" not in row:
            continue
        for what in ("leave", "cut"):
            for end, (value, _) in zip(("least", "most"), row[what]):
                tally.near(sample, f"{name}.{what}.{end}", got.get(what, {}).get(end), value, leave)
        past = got.get("past_outline", {}).get("most", 0.0)
        tally.near(sample, f"{name}.past_outline", past, 0.0, leave)
        tally.hold(sample, f"{name}: the sample itself cuts past its outline, by about {row['past']:.5f}",
                   row["past"] <= leave)
        rows = [(r["state"], r["from"], r["to"]) for r in got.get("contact", [])]
        whole = bool(rows) and abs(rows[0][1]) <= 1e-9 and abs(rows[-1][2] - want["length"]) <= leave
        whole = whole and all(abs(a[2] - b[1]) <= 1e-9 for a, b in zip(rows, rows[1:]))
        tally.hold(sample, f"{name}.contact has a gap, an overlap or an end missing", whole)
        rows = tidy(rows, ends)
        states, wanted = [r[0] for r in rows], [r[0] for r in row["contact"]]
        tally.hold(sample, f"{name}.contact is {states}, {wanted} expected", states == wanted)
        if states == wanted:
            for got_row, want_row in zip(rows, row["contact"]):
                tally.near(sample, f"{name}.contact.from", got_row[1], want_row[1], ends)
                tally.near(sample, f"{name}.contact.to", got_row[2], want_row[2], ends)
    # The place of the least margin is only asked for where the least is a point, not a stretch.
    if sample in ("signal-lamp-bezel", "vent-cover-die"):
        tally.near(sample, "blank.least_margin_at", blank.get("least_margin_at"), want["least_margin_at"], place)
    if sample in FINDINGS:
        codes = {f["code"] for f in proof["findings"] if f["severity"] != "note"}
        tally.hold(sample, f"findings are {sorted(codes)}, {sorted(FINDINGS[sample])} expected",
                   codes == FINDINGS[sample])


def prove(binary, job):
    run = subprocess.run([binary, "prove", str(job), "--json"], stdin=subprocess.DEVNULL, capture_output=True,
                         timeout=300, check=False)
    if run.returncode not in (0, 1):
        raise RuntimeError(f"exit status {run.returncode}: {run.stderr.decode(errors='replace').strip()}")
    return json.loads(run.stdout), run.returncode


def main():
    if len(sys.argv) != 2:
        print("usage: check_shapely.py PATH_TO_blockwright", file=sys.stderr)
        return 1
    tally = Tally()
    folders = sorted(path.parent for path in SAMPLES.glob("*/job.json"))
    tally.hold("samples", "there are none", bool(folders))
    for folder in folders:
        try:
            want = expected(folder)
            proof, status = prove(sys.argv[1], folder / "job.json")
            compare(folder.name, want, proof, status, tally)
        except Exception as fault:  # one bad sample must not hide the others
            tally.fail(folder.name, f"{type(fault).__name__}: {fault}")
    print(f"shapely {shapely.__version__}, {STATIONS} stations and the corners, {STATIONS * SUB} for contact\n")
    print(f"{'sample':<20} {'worst difference in':<28} {'off':>10} {'allowed':>9}  where")
    for (sample, group), (off, tolerance, what) in sorted(tally.worst.items()):
        print(f"{sample:<20} {group:<28} {off:>10.6f} {tolerance:>9g}  {what}")
    print(f"\n{tally.passed} passed, {tally.failed} failed")
    return 1 if tally.failed else 0


if __name__ == "__main__":
    sys.exit(main())
