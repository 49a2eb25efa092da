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
LOOKS_CLOSER = 4  # each at a quarter of the distance in height
ROUND = 1024  # chords of a rounded part of a cutter
HAIR = 1e-9
AT_ONCE = 2_000_000  # corners times rays
RUN = 16  # sides of a ring that are looked at together
BESIDE = 5e-7  # of an inch: heights are looked at just inside the joints, since a rounding runs out level there
CLOSER = 1e-9  # of an inch: so near a joint, and between joints so near each other, a height may be looked at or not
DOUBT = 5.0  # sags by which the outline and another side of it may be off
GRAZES = 40.0  # sags by which a ray that grazes a side may meet it elsewhere
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
        self.ways = []  # lines that differ, and which of them each level has
        self.same = {z: self.way_of(line) for z, line in self.lines.items()}
        self.known, self.wide, self.at = {}, {}, {}

    def way_of(self, line):
        for k, known in enumerate(self.ways):
            if known.covers(line) and line.covers(known):  # a lap with a side left out is another way
                return k
        self.ways.append(line)
        return len(self.ways) - 1

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
        if height not in self.at:
            self.at[height] = self.swept_at(height)
        return self.at[height]

    def swept_at(self, height):
        radii = tuple((z, round(widest(self.profile, height - z, height - z), 9)) for z in sorted(self.level) if z < height)
        steep = tuple(k for k, slope in enumerate(self.slopes) if min(p[2] for p in slope) < height)
        moving = any(self.slopes[k][0][2] > height or self.slopes[k][-1][2] > height or len(self.profile) > 1 for k in steep)
        key = (radii, steep, height if moving else None)
        if key not in self.known:
            # the same way at two levels is widened once
            wide = {(self.same[z], radius) for z, radius in radii if radius > 0.0}
            areas = [self.widened(way, radius) for way, radius in sorted(wide)]
            areas += [area for k in steep for area in self.sloping(self.slopes[k], height)]
            self.known[key] = shapely.union_all(areas) if areas else None
        return self.known[key], key

    def widened(self, way, radius):
        if (way, radius) not in self.wide:
            self.wide[way, radius] = shapely.buffer(self.ways[way], radius, quad_segs=quads(radius, self.sag))
        return self.wide[way, radius]

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
        own = max(outline.length * 1e-6, 4.0 * outline.sag)  # of chords, an arc itself is met that near
        crossings = meet(outline.polygon, points, outward)
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
        self.low = np.maximum(self.inner, -INWARD * reach / 4.0)
        self.places = shapely.points(points)
        none = 0.0001 * reach / 4.0
        slacks = (none - DOUBT * outline.sag, none + DOUBT * outline.sag)
        self.own = [[own_until(outline, points, way, reach, slack) for slack in slacks] for way in (outward, -outward)]


def own_until(outline, points, way, reach, slack):
    """How far along its ray each station's own side of the outline is the nearest, within a slack: as far as no other
    side is nearer at one place, none is at any place before it."""
    low, high = np.zeros(len(points)), np.full(len(points), reach)
    for _ in range(48):
        middle = (low + high) / 2.0
        own = shapely.distance(outline.ring, shapely.points(points + way * middle[:, None])) >= middle - slack
        low, high = np.where(own, middle, low), np.where(own, high, middle)
    return low


def meet(area, points, outward):
    """Where each ray crosses the sides of an area, in order along it: always an even number, since a corner lies on one
    side of the ray for both of its sides."""
    found = [np.zeros(0)], [np.zeros(0, dtype=int)]
    rings = [ring for part in shapely.get_parts(area) if part.geom_type == "Polygon" for ring in (part.exterior, *part.interiors)]
    for ring in rings:
        corners = np.asarray(ring.coords)[:, :2]
        runs = np.minimum(np.arange(0, len(corners) - 1, RUN)[:, None] + np.arange(RUN + 1), len(corners) - 1)
        rays, some = near_runs(corners[runs], points, outward)
        for first in range(0, len(rays), AT_ONCE // RUN):
            here = rays[first:first + AT_ONCE // RUN]
            corner, u = corners[runs[some[first:first + AT_ONCE // RUN]]] - points[here][:, None], outward[here]
            x, y = corner[:, :, 0], corner[:, :, 1]
            side = y * u[:, :1] - x * u[:, 1:]
            which, sides = np.nonzero((side[:, :-1] > 0.0) != (side[:, 1:] > 0.0))
            along = lambda k: x[which, k] * u[which, 0] + y[which, k] * u[which, 1]
            before, after = side[which, sides], side[which, sides + 1]
            start, end = along(sides), along(sides + 1)
            found[0].append(start + (end - start) * before / (before - after))
            found[1].append(here[which])
    t, rays = np.concatenate(found[0]), np.concatenate(found[1])
    order = np.lexsort((t, rays))
    return np.split(t[order], np.searchsorted(rays[order], np.arange(1, len(points))))


def near_runs(runs, points, outward):
    """Which rays may cross which runs of corners, by the boxes round the runs."""
    low, high = runs.min(axis=1), runs.max(axis=1)
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    x, y = middle[:, 0] - points[:, :1], middle[:, 1] - points[:, 1:]
    off = np.abs(y * outward[:, :1] - x * outward[:, 1:])
    wide = half[:, 1] * np.abs(outward[:, :1]) + half[:, 0] * np.abs(outward[:, 1:])
    return np.nonzero(off <= wide * (1.0 + HAIR) + HAIR)


def intervals(area, rays):
    """The parts of each ray inside an area, between `rays.low` and `rays.outer`. Counted from outside the area, since an
    end of the ray may lie on its rim."""
    if area is None or area.is_empty:
        return [[] for _ in rays.points]
    found = []
    for t, low, high in zip(meet(area, rays.points, rays.outward), rays.low, rays.outer):
        t = t.tolist()
        clipped = [(max(a, low), min(b, high)) for a, b in zip(t[0::2], t[1::2])]
        found.append([(a, b) for a, b in clipped if b - a > HAIR])
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
        self.known, self.rims, self.at = {}, {}, {}
        self.doubtful = self.lenient = False

    def heights(self):
        """Heights at which sections are cut, whether a cutter leans there, and whether one must be looked at: between each
        two joints the middle, and more where one leans. Those that must come first."""
        joints = {self.bottom, self.top, *(z for one in self.passes for z in one.joints() if self.bottom < z < self.top)}
        joints, hair, found = sorted(joints), BESIDE * self.unit, []
        for low, high in zip(joints, joints[1:]):
            closer, middle = CLOSER * self.unit, (low + high) / 2.0
            leaning = any(one.leans(low, high) for one in self.passes)
            if high - low < 10.0 * hair:
                found += [(middle, leaning, False)] if high - low > closer else []
                continue
            some = [low + hair, (low + middle) / 2.0, middle, (middle + high) / 2.0, high - hair] if leaning else [middle]
            found += [(height, leaning, True) for height in some]
            if leaning:
                found += [(low + closer, leaning, False), (high - closer, leaning, False)]
        return sorted(found, key=lambda looked: not looked[2])

    def metal(self, height, passes):
        """The metal at a height after the first passes."""
        if (height, passes) not in self.at:
            self.at[height, passes] = self.metal_at(height, passes)
        return self.at[height, passes]

    def metal_at(self, height, passes):
        swept = [one.swept(height) for one in self.passes[:passes]]
        key = tuple(key for _, key in swept)
        if key not in self.known:
            areas = [area for area, _ in swept if area is not None]
            self.known[key] = self.edge.difference(shapely.union_all(areas)) if areas else self.edge
            shapely.prepare(self.known[key])
        return self.known[key]

    def rim(self, area):
        if id(area) not in self.rims:  # areas are kept, so that no other one gets the same id
            self.rims[id(area)] = area.boundary
            shapely.prepare(self.rims[id(area)])
        return self.rims[id(area)]

    def is_own(self, rays, k, along):
        """Whether the station's own side of the outline is the nearest at a distance along its ray. Where that hangs by
        what chords are off, both answers are right: `self.doubtful` says so, and `self.lenient` which to give."""
        surely, perhaps = rays.own[0 if along >= 0.0 else 1]
        if surely[k] - GRAZES * self.sag < abs(along) <= perhaps[k] + GRAZES * self.sag:
            self.doubtful = True
            return self.lenient
        return abs(along) <= surely[k]

    def either(self, measure):
        """Least and most of a measure over both answers where one is doubtful."""
        self.doubtful, self.lenient = False, False
        found = measure()
        if self.doubtful:
            self.lenient = True
            found += measure()
        return min(found), max(found)

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
        area = area()
        near = shapely.distance(self.rim(area) if ahead else area, rays.places[k])
        way = min(near, abs(end)) if end is not None else near
        return way if ahead else -way

    def leaves(self, rays, height):
        """Stock left at a height at every ray, before the first pass and after each, least and most."""
        metal = intervals(self.edge, rays)
        states = []
        for index in range(len(self.passes) + 1):
            if index:
                swept = intervals(self.passes[index - 1].swept(height)[0], rays)
                metal = [subtract(m, s) for m, s in zip(metal, swept)]
            area = lambda index=index: self.metal(height, index)
            states.append(np.array([self.either(lambda: [self.told(rays, k, m, area)]) for k, m in enumerate(metal)]).T)
        return states

    def cuts(self, rays, heights):
        """The thickest cut of every pass at every ray over some heights, least and most."""
        best = [np.zeros((2, len(rays.points))) for _ in self.passes]
        self.thickest = [np.full(len(rays.points), np.nan) for _ in self.passes]  # the height of each
        blank, known, seen = intervals(self.edge, rays), {}, set()
        for height, leans, sure in heights:
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
                untouched = [], []
                for k, swept in enumerate(known[index, key]):
                    before = metal[k]
                    rest = subtract(before, swept)
                    if rest == before:
                        if not any(a <= 0.0 < b for a, b in before):
                            for rays_of, self.lenient in zip(untouched, (True, False)):
                                if self.own_behind(rays, k, before) is None:
                                    rays_of.append(k)
                        continue
                    metal = list(metal) if metal is blank else metal
                    metal[k] = rest
                    cut = self.either(lambda: self.cut(rays, k, before, rest, (height, leans), index))
                    least, most = best[index][:, k]
                    if cut[1] > most:
                        self.thickest[index][k] = height
                    best[index][:, k] = max(least, cut[0]) if sure else least, max(most, cut[1])
                for values, some in list(zip(best[index], untouched))[0 if sure else 1:]:
                    self.beside(values, rays, some, height, index)
        return best

    def closer(self, rays, heights, found):
        """The same, looked at more closely: where two cutters lean, the thickest cut lies between the heights that were
        looked at. First everywhere, then about the thickest of every ray."""
        leaning = sorted(height for height, leans, _ in heights if leans)
        pairs = [(a, b) for a, b in zip(leaning, leaning[1:]) if b - a > 10.0 * BESIDE * self.unit]
        some = [(z, True, True) for a, b in pairs if any(one.leans(a, b) for one in self.passes) for z in np.linspace(a, b, 5)[1:-1]]
        for look in range(LOOKS_CLOSER):
            now = self.cuts(rays, some)
            found = [np.maximum(a, b) for a, b in zip(found, now)]
            about = {round(z, 9) for where in self.thickest for z in where[~np.isnan(where)]}
            step = max((b - a for a, b in pairs), default=0.0) / 4.0 ** (look + 1)
            some = [(z + part * step / 4.0, True, True) for z in about for part in (-4, -3, -2, -1, 1, 2, 3, 4)]
            lowest, highest = (leaning[0], leaning[-1]) if leaning else (0.0, 0.0)
            some = [one for one in some if lowest < one[0] < highest]
        return found

    def beside(self, best, rays, untouched, height, index):
        """Cuts where nothing lies on the ray any more: next to a sharp corner metal may stand beside it."""
        before, after = self.metal(height, index), self.metal(height, index + 1)
        if not untouched or before.is_empty or after.is_empty:
            return
        places = rays.places[untouched]
        moved = shapely.distance(after, places) - shapely.distance(before, places)
        best[untouched] = np.maximum(best[untouched], moved)

    def own_behind(self, rays, k, metal):
        """Where the first metal inward ends, as far as the ray belongs to the station."""
        behind = [b for _, b in metal if b <= 0.0]
        return behind[-1] if behind and self.is_own(rays, k, behind[-1]) else None

    def stands_inward(self, rays, k, area):
        """Whether metal stands inward at 45 degrees to either side of a ray on which there is none."""
        (x, y), point = -rays.outward[k], rays.points[k]
        aside = [(x - y, y + x), (x + y, y - x)]
        far = 4.0 * self.unit
        return any(area.intersects(LineString([point, (point[0] + u * far, point[1] + v * far)])) for u, v in aside)

    def cut(self, rays, k, before, rest, looked, index):
        """What is cut at a ray and a height. Where a cutter leans also what may be cut at a height between those looked
        at: as it narrows, an end comes to where the ray is the station's own, and all up to there counts."""
        height, leans = looked
        taken = subtract(before, rest)
        length = lambda low, high: sum(max(0.0, min(b, high) - max(a, low)) for a, b in taken)
        corner = lambda: max(0.0, self.told(rays, k, before, lambda: self.metal(height, index))
                             - self.told(rays, k, rest, lambda: self.metal(height, index + 1)))
        outer = rays.outer[k]
        farthest = min(max((b for _, b in taken), default=0.0), outer)
        inward = self.own_behind(rays, k, rest)
        in_metal = any(a <= 0.0 < b for a, b in rest)
        if farthest > 0.0 and not self.is_own(rays, k, farthest):
            own = rays.own[0][1][k]
            return [corner(), length(0.0 if in_metal or inward is None else inward, own)] if leans else [corner()]
        outward = length(0.0, outer)
        if in_metal:
            return [outward]
        if inward is not None:
            return [outward + length(inward, 0.0)]
        behind = any(b <= 0.0 for _, b in rest)
        if not behind and not self.stands_inward(rays, k, self.metal(height, index + 1)):
            return [outward]  # it takes the top off
        beside = max(corner(), outward)
        return [beside, length(-rays.own[1][1][k], outer)] if leans else [beside]
