"""Sections of a block at any height, cut by shapely, and what the rays from an outline's stations meet in them.

Everything comes from the text of a job and its programs, read by reader.py; nothing is taken from Blockwright. At one
height a pass takes the union of its way, buffered by the cutter's radius there. Ways that slope are followed in steps.
"""

import math

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPoint, Point, Polygon

from reader import arc_points, motions, silhouette, widest, zero_of
from shapes import arc_of, flat

STEPS = 64  # of a sloping move
ROUND = 1024  # chords of a rounded part of a cutter
INWARD = 0.9  # how far into the block is looked, in inches


def quads(radius, sag):
    return max(8, math.ceil(math.pi / 4.0 / math.acos(max(0.0, 1.0 - sag / max(radius, 2.0 * sag)))))


class Pass:
    """The ways of one pass, in block coordinates: level ones by height, sloping ones as points in space."""

    def __init__(self, given, tool, text, units, sag):
        self.given, self.sag = given, sag
        self.profile = silhouette(tool["form"], ROUND)
        zero = zero_of(given)
        self.level, self.slopes = {}, []
        chain, chain_z = [], None

        def close():
            if chain:
                self.level.setdefault(chain_z, []).append(list(chain))
            chain.clear()

        for mode, start, end, centre in motions(text, units):
            if None in start or None in end:
                continue
            points = arc_points(mode, start, end, centre, sag)[0] if mode in (2, 3) else [start[:2], end[:2]]
            points = [(x + zero[0], y + zero[1]) for x, y in points]
            low, high = start[2] + zero[2], end[2] + zero[2]
            if low != high:
                close()
                steps = len(points) - 1
                if steps == 1 and points[0] != points[1]:
                    points = [tuple(np.add(points[0], np.subtract(points[1], points[0]) * k / STEPS)) for k in range(STEPS + 1)]
                    steps = STEPS
                self.slopes.append([(x, y, low + (high - low) * k / steps) for k, (x, y) in enumerate(points)])
                continue
            if chain and chain_z == low and chain[-1] == points[0]:
                chain += points[1:]
            else:
                close()
                chain_z = low
                chain += points
        close()
        self.lines = {z: shapely.union_all([LineString(points) for points in some]) for z, some in self.level.items()}
        self.known = {}

    def lowest(self):
        return min([*self.level, *(p[2] for slope in self.slopes for p in slope)], default=math.inf)

    def joints(self):
        """Heights at which a part of the cutter begins or ends; its rounded parts count as one."""
        parts = [z for r, z in self.profile] if len(self.profile) < 10 else [self.profile[0][1], self.profile[-1][1]]
        zs = {*self.level, *(z for slope in self.slopes for z in (slope[0][2], slope[-1][2]))}
        return {z + part for z in zs for part in parts}

    def leans(self, low, high):
        """Whether the cutter's radius may change between two heights."""
        for z in self.level:
            if any(a[0] != b[0] and a[1] != b[1] and z + a[1] < high and z + b[1] > low
                   for a, b in zip(self.profile, self.profile[1:])):
                return True
        return any(min(s[0][2], s[-1][2]) < high for s in self.slopes if s[0][:2] != s[-1][:2])

    def swept(self, height):
        """The area taken at a height, with a key that is the same where the area is; `None` where nothing is."""
        radii = tuple((z, round(widest(self.profile, height - z, height - z), 9)) for z in sorted(self.level) if z < height)
        steep = tuple(k for k, slope in enumerate(self.slopes) if min(p[2] for p in slope) < height)
        moving = any(self.slopes[k][0][2] > height or self.slopes[k][-1][2] > height or len(self.profile) > 1 for k in steep)
        key = (radii, steep, height if moving else None)
        if key not in self.known:
            by_radius = {}
            for z, radius in radii:
                if radius > 0.0:
                    by_radius.setdefault(radius, []).append(self.lines[z])
            areas = [shapely.buffer(shapely.union_all(lines), radius, quad_segs=quads(radius, self.sag))
                     for radius, lines in by_radius.items()]
            areas += [area for k in steep for area in self.sloping(self.slopes[k], height)]
            self.known[key] = shapely.union_all(areas) if areas else None
        return self.known[key], key

    def sloping(self, slope, height):
        areas = []
        for a, b in zip(slope, slope[1:]):
            low, high = min(a[2], b[2]), max(a[2], b[2])
            if low >= height:
                continue
            radius = widest(self.profile, height - high, height - low)
            if not radius:
                continue
            line = Point(a[:2]) if a[:2] == b[:2] else LineString([a[:2], b[:2]])
            areas.append(shapely.buffer(line, radius, quad_segs=min(64, quads(radius, self.sag))))
        return areas


class Rays:
    """Lines square to an outline at stations, each as far as it belongs to its station."""

    def __init__(self, outline, stations, reach):
        points, outward, spans = outline.places(stations)
        self.stations, self.points, self.outward = stations, points, outward
        ends = [points - outward * reach, points + outward * reach]
        lines = shapely.linestrings(np.stack(ends, axis=1))
        own = max(outline.length * 1e-6, 4.0 * outline.sag)  # of chords, an arc itself is met that near
        crossings = meet(outline.ring_edges, points, outward, lines)
        self.inner, self.outer = np.full(len(points), -reach), np.full(len(points), reach)
        for k, found in enumerate(crossings):
            before, after = found[found < -own], found[found > own]
            if len(before):
                self.inner[k] = before.max()
            if len(after):
                self.outer[k] = after.min()
        # at the tip of an acute corner the line leaves the outline at once
        just_in = points - outward * own * 2.0
        self.inner[~shapely.contains_xy(outline.polygon, just_in[:, 0], just_in[:, 1])] = 0.0
        low = np.maximum(self.inner, -INWARD * reach / 4.0)
        ends = [points + outward * low[:, None], points + outward * self.outer[:, None]]
        self.low, self.lines = low, shapely.linestrings(np.stack(ends, axis=1))

    def at(self, along):
        return self.points + self.outward * along[:, None]


class Edges:
    """The sides of an area as one tree."""

    def __init__(self, area):
        rings = [ring for part in shapely.get_parts(area) if part.geom_type == "Polygon"
                 for ring in (part.exterior, *part.interiors)]
        coords = [np.asarray(ring.coords)[:, :2] for ring in rings]
        self.a = np.concatenate([c[:-1] for c in coords]) if coords else np.zeros((0, 2))
        self.b = np.concatenate([c[1:] for c in coords]) if coords else np.zeros((0, 2))
        self.tree = shapely.STRtree(shapely.linestrings(np.stack([self.a, self.b], axis=1)))


def meet(edges, points, outward, lines):
    """Where each ray crosses the sides of an area, in order along it."""
    rays, sides = edges.tree.query(lines)
    a, b = edges.a[sides] - points[rays], edges.b[sides] - points[rays]
    u = outward[rays]
    sa, sb = a[:, 1] * u[:, 0] - a[:, 0] * u[:, 1], b[:, 1] * u[:, 0] - b[:, 0] * u[:, 1]
    hit = (sa > 0.0) != (sb > 0.0)
    rays, sa, sb = rays[hit], sa[hit], sb[hit]
    ta, tb = (a[hit] * u[hit]).sum(1), (b[hit] * u[hit]).sum(1)
    t = ta + (tb - ta) * sa / (sa - sb)
    order = np.lexsort((t, rays))
    return np.split(t[order], np.searchsorted(rays[order], np.arange(1, len(points))))


def intervals(area, rays):
    """The parts of each ray inside an area, from `rays.low` on."""
    if area is None or area.is_empty:
        return [[] for _ in rays.points]
    shapely.prepare(area)
    start = rays.points + rays.outward * rays.low[:, None]
    inside = shapely.contains_xy(area, start[:, 0], start[:, 1])
    found = []
    for t, first, low, high in zip(meet(Edges(area), rays.points, rays.outward, rays.lines), inside, rays.low, rays.outer):
        t = t[(t > low) & (t < high)].tolist()
        marks = ([low] if first else []) + t
        if len(marks) % 2:
            marks.append(high)
        found.append(list(zip(marks[0::2], marks[1::2])))
    return found


def subtract(metal, swept):
    """Intervals of metal without those swept."""
    if not swept or not metal:
        return metal
    rest = metal
    for low, high in swept:
        rest = [piece for a, b in rest
                for piece in (((a, b),) if b <= low or a >= high else ((a, min(b, low)), (max(a, high), b)))
                if piece[1] > piece[0]]
    return rest


class Outline:
    """The outline with places by station, and the distance of any place from it."""

    def __init__(self, vertices, sag):
        path = [(v[0], v[1], v[2] if len(v) > 2 else 0.0) for v in vertices]
        self.spans = [(np.array(a[:2]), np.array(b[:2]), a[2]) for a, b in zip(path, path[1:] + path[:1])]
        length = lambda a, b, bulge: math.dist(a, b) if bulge == 0.0 else arc_of(a, b, bulge)[1] * abs(4.0 * math.atan(bulge))
        self.lengths = [length(*span) for span in self.spans]
        self.starts = np.concatenate([[0.0], np.cumsum(self.lengths)])
        self.length, self.sag = float(self.starts[-1]), sag
        self.polygon = Polygon(flat(path, sag))
        self.ring = self.polygon.exterior
        self.ring_edges = Edges(self.polygon)
        shapely.prepare(self.polygon)
        shapely.prepare(self.ring)

    def places(self, stations):
        """Points and outward directions at stations; the path runs counter-clockwise."""
        points, outward, spans = [], [], []
        for station in stations:
            k = min(int(np.searchsorted(self.starts, station, side="right")) - 1, len(self.spans) - 1)
            a, b, bulge = self.spans[k]
            part = (station - self.starts[k]) / self.lengths[k]
            if bulge == 0.0:
                along = (b - a) / self.lengths[k]
                points.append(a + (b - a) * part)
                outward.append((along[1], -along[0]))
            else:
                centre, radius, first, turn = arc_of(a, b, bulge)
                angle = first + turn * part
                spoke = np.array([math.cos(angle), math.sin(angle)])
                points.append(np.array(centre) + spoke * radius)
                outward.append(spoke * math.copysign(1.0, turn))
            spans.append(k)
        return np.array(points), np.array(outward), spans


class Block:
    """A job's block with all its passes: metal and what is taken, at any height."""

    def __init__(self, folder, job, sag):
        self.job, self.sag = job, sag
        self.outline = Outline(job["outline"]["vertices"], sag)
        self.edge = Polygon([v[:2] for v in job["blank"]["edge"]["vertices"]])
        self.top = job["blank"]["top"]
        self.bottom = self.top - job["blank"]["thickness"]
        tools = {tool["number"]: tool for tool in job["tools"]}
        read = lambda given: (folder / given["program"]).read_text(encoding="ascii")
        self.passes = [Pass(given, tools[given["tool"]], read(given), job["units"], sag) for given in job["passes"]]
        self.unit = 25.4 if job["units"] == "mm" else 1.0
        self.none = 0.0025 if job["units"] == "mm" else 0.0001
        self.known = {}

    def heights(self):
        """Heights at which sections are cut: between each two joints its middle, and both ends where a cutter leans."""
        joints = {self.bottom, self.top, *(z for one in self.passes for z in one.joints() if self.bottom < z < self.top)}
        joints, hair, found = sorted(joints), 2e-6 * self.unit, []
        for low, high in zip(joints, joints[1:]):
            if high - low < 10.0 * hair:
                continue
            middle = (low + high) / 2.0
            leaning = any(one.leans(low, high) for one in self.passes)
            found += [low + hair, (low + middle) / 2.0, middle, (middle + high) / 2.0, high - hair] if leaning else [middle]
        return found

    def metal(self, height, passes):
        """The metal at a height after the first passes."""
        swept = [one.swept(height) for one in self.passes[:passes]]
        key = tuple(key for _, key in swept)
        if key not in self.known:
            areas = [area for area, _ in swept if area is not None]
            self.known[key] = self.edge.difference(shapely.union_all(areas)) if areas else self.edge
        return self.known[key]

    def is_own(self, rays, k, along):
        """Whether the station's own side of the outline is the nearest at a distance along its ray."""
        place = rays.points[k] + rays.outward[k] * along
        return shapely.distance(self.outline.ring, Point(place)) >= abs(along) - self.none

    def told(self, rays, k, metal, area):
        """Stock left at a station: along its ray, and where that runs along another side the nearest metal or edge."""
        here = [b for a, b in metal if a <= 0.0 < b]
        ahead = bool(here)
        if ahead:
            end = here[0] if here[0] < rays.outer[k] else None
        else:
            behind = [b for _, b in metal if b <= 0.0]
            end = behind[-1] if behind else None
        if end is not None and self.is_own(rays, k, end):
            return end
        point = Point(rays.points[k])
        area = area()
        near = area.boundary.distance(point) if ahead else area.distance(point)
        way = min(near, abs(end)) if end is not None else near
        return way if ahead else -way

    def leaves(self, rays, height):
        """Stock left at a height at every ray, before the first pass and after each."""
        metal = intervals(self.edge, rays)
        states = []
        for index in range(len(self.passes) + 1):
            if index:
                swept = intervals(self.passes[index - 1].swept(height)[0], rays)
                metal = [subtract(m, s) for m, s in zip(metal, swept)]
            area = lambda index=index: self.metal(height, index)
            states.append(np.array([self.told(rays, k, m, area) for k, m in enumerate(metal)]))
        return states

    def cuts(self, rays, heights):
        """The thickest cut of every pass at every ray over some heights."""
        best = [np.zeros(len(rays.points)) for _ in self.passes]
        blank, known, seen = intervals(self.edge, rays), {}, set()
        for height in heights:
            keys = tuple(one.swept(height)[1] for one in self.passes)
            if keys in seen:
                continue
            seen.add(keys)
            metal = blank
            for index, one in enumerate(self.passes):
                area, key = one.swept(height)
                if area is None:
                    continue
                if (index, key) not in known:
                    known[index, key] = intervals(area, rays)
                for k, swept in enumerate(known[index, key]):
                    if not swept:
                        continue
                    before = metal[k]
                    rest = subtract(before, swept)
                    if rest != before:
                        metal = list(metal) if metal is blank else metal
                        metal[k] = rest
                        cut = self.cut(rays, k, before, rest, height, index)
                        best[index][k] = max(best[index][k], cut)
        return best

    def cut(self, rays, k, before, rest, height, index):
        taken = subtract(before, rest)
        length = lambda low, high: sum(max(0.0, min(b, high) - max(a, low)) for a, b in taken)
        corner = lambda: max(0.0, self.told(rays, k, before, lambda: self.metal(height, index))
                             - self.told(rays, k, rest, lambda: self.metal(height, index + 1)))
        outer = rays.outer[k]
        farthest = min(max((b for _, b in taken), default=0.0), outer)
        if farthest > 0.0 and not self.is_own(rays, k, farthest):
            return corner()
        outward = length(0.0, outer)
        if any(a <= 0.0 < b for a, b in rest):
            return outward
        behind = [b for _, b in rest if b <= 0.0]
        if behind and self.is_own(rays, k, behind[-1]):
            return outward + length(behind[-1], 0.0)
        area = self.metal(height, index + 1)
        if area.is_empty or area.distance(Point(rays.points[k])) > 0.3 * self.unit:
            return outward  # it takes the top off
        return corner()
