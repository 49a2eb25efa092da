"""Invented outlines and blanks for check_random.py, and the path of a cutter round an outline.

A path is a list of (x, y, bulge), closed and counter-clockwise, as in a job file.
"""

import math

from shapely.geometry import LineString, Point, Polygon

from reader import arc_steps


def arc_of(start, end, bulge):
    """Centre, radius, first angle and turn of the arc between two points."""
    reach = math.dist(start, end)
    radius = reach * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
    off = (1.0 - bulge * bulge) / (4.0 * bulge)
    centre = ((start[0] + end[0]) / 2.0 - (end[1] - start[1]) * off, (start[1] + end[1]) / 2.0 + (end[0] - start[0]) * off)
    return centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), 4.0 * math.atan(bulge)


def flat(path, sag):
    """The points of a closed path, its arcs flattened."""
    points = []
    for (x, y, bulge), after in zip(path, path[1:] + path[:1]):
        points.append((x, y))
        if bulge != 0.0:
            centre, radius, first, turn = arc_of((x, y), after[:2], bulge)
            count = arc_steps(radius, turn, sag)
            angles = [first + turn * k / count for k in range(1, count)]
            points += [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles]
    return points


def unit(a, b):
    reach = math.dist(a, b)
    return (b[0] - a[0]) / reach, (b[1] - a[1]) / reach


def cross(u, v):
    return u[0] * v[1] - u[1] * v[0]


def turned(points, angle):
    c, s = math.cos(angle), math.sin(angle)
    return [(x * c - y * s, x * s + y * c, *rest) for x, y, *rest in points]


# ------------------------------------------------------------------------------------------------ outlines


def corners(rng):
    """The corners of an invented outline, counter-clockwise, about two inches across."""
    kind = rng.choice(["convex", "convex", "star", "step", "slot", "neck", "notched"])
    a, b = rng.uniform(1.4, 2.4), rng.uniform(1.0, 1.8)
    if kind in ("convex", "star"):
        count = rng.randint(3, 7) if kind == "convex" else 2 * rng.randint(3, 4)
        angles = [math.tau * (k + rng.uniform(-0.25, 0.25)) / count for k in range(count)]
        reach = lambda k: rng.uniform(0.85, 1.1) if kind == "convex" or k % 2 == 0 else rng.uniform(0.55, 0.75)
        return [(reach(k) * math.cos(t) * a / 2.0, reach(k) * math.sin(t) * a / 2.0) for k, t in enumerate(angles)]
    if kind == "step":
        c, d = a * rng.uniform(0.4, 0.7), b * rng.uniform(0.4, 0.7)
        return [(0, 0), (a, 0), (a, d), (c, d + rng.uniform(-0.1, 0.1)), (c, b), (0, b)]
    if kind == "slot":
        c, w, d = a * rng.uniform(0.4, 0.6), rng.uniform(0.3, 0.9), b * rng.uniform(0.2, 0.5)
        return [(0, 0), (a, 0), (a, b), (c + w / 2, b), (c + w / 2 - 0.05, b - d), (c - w / 2 + 0.05, b - d), (c - w / 2, b), (0, b)]
    if kind == "neck":
        c, w, n = a * rng.uniform(0.4, 0.6), rng.uniform(0.25, 0.45), rng.uniform(0.5, 0.8)
        low, high = b * (1 - n) / 2, b * (1 + n) / 2
        return [(0, 0), (c - w, 0), (c, low), (c + w, 0), (a, 0), (a, b), (c + w, b), (c, high), (c - w, b), (0, b)]
    c, d = a * rng.uniform(0.3, 0.7), b * rng.uniform(0.15, 0.45)
    return [(0, 0), (a, 0), (a, b), (c + 0.3, b), (c, b - d), (c - 0.3, b), (0, b)]


def outline(rng):
    """An outline with sharp corners, rounded ones, tight inner arcs, and sides that are arcs."""
    points = corners(rng)
    count = len(points)
    before = [unit(points[k - 1], points[k]) for k in range(count)]
    after = [before[(k + 1) % count] for k in range(count)]
    turns = [math.atan2(cross(u, v), u[0] * v[0] + u[1] * v[1]) for u, v in zip(before, after)]
    lengths = [math.dist(points[k], points[(k + 1) % count]) for k in range(count)]
    radii = []
    for k, turn in enumerate(turns):
        inner = turn < 0.0
        wanted = rng.choice([0.0, rng.uniform(0.05, 0.3)] if not inner else [0.0, rng.uniform(0.06, 0.2), rng.uniform(0.3, 0.5)])
        room = 0.45 * min(lengths[k - 1], lengths[k]) / max(math.tan(abs(turn) / 2.0), 1e-9)
        radii.append(min(wanted, room) if wanted and abs(turn) > 0.05 else 0.0)
    path = []
    for k, (x, y) in enumerate(points):
        radius, turn = radii[k], turns[k]
        if radius > 0.0:
            cut = radius * math.tan(abs(turn) / 2.0)
            path.append((x - before[k][0] * cut, y - before[k][1] * cut, math.tan(turn / 4.0)))
            path.append((x + after[k][0] * cut, y + after[k][1] * cut, 0.0))
            continue
        sharp = [j for j in (k, (k + 1) % count) if radii[j] == 0.0 and turns[j] > 0.4]
        bulged = len(sharp) == 2 and rng.random() < 0.3
        path.append((x, y, rng.choice([0.12, 0.2, -0.08, -0.12]) if bulged else 0.0))
    angle = rng.choice([0.0, 0.0, rng.uniform(0.0, math.tau)])
    return turned(path, angle)


def is_sound(path):
    """Whether a path is one that a person would scribe: simple, counter-clockwise, no sliver."""
    ring = Polygon(flat(path, 1e-4))
    if not ring.is_valid or not ring.exterior.is_ccw:
        return False
    if any(math.dist(a[:2], b[:2]) < 0.02 for a, b in zip(path, path[1:] + path[:1])):
        return False
    inner = ring.buffer(-0.18)
    return inner.geom_type == "Polygon" and not inner.is_empty


# -------------------------------------------------------------------------------------------------- blanks


def blank(rng, area):
    """A sawn blank round an outline: larger, askew, with a short corner or a notch. Its corners in order."""
    angle = rng.choice([0.0, rng.uniform(-0.06, 0.06)])
    points = turned([(x, y) for x, y in area.exterior.coords], -angle)
    low = [min(p[i] for p in points) - rng.uniform(0.06, 0.22) for i in (0, 1)]
    high = [max(p[i] for p in points) + rng.uniform(0.06, 0.22) for i in (0, 1)]
    edge = Polygon(turned([(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1])], angle))
    kind = rng.random()
    if kind < 0.35:  # sawn round the outline rather than square
        hull = area.convex_hull.simplify(0.05).buffer(rng.uniform(0.12, 0.25), join_style="mitre", mitre_limit=3.0)
        edge = edge.intersection(hull)
    elif kind < 0.5:
        edge = area.buffer(rng.uniform(0.12, 0.25), join_style="mitre", mitre_limit=2.0).simplify(0.03)
    fault = rng.random()
    ring = list(edge.exterior.coords)[:-1]
    k = rng.randrange(len(ring))
    if fault < 0.3:  # a corner sawn off, up to a bit inside the outline
        corner, centre = ring[k], area.centroid
        inward = unit(corner, (centre.x, centre.y))
        ray = LineString([corner, (corner[0] + inward[0] * 9.0, corner[1] + inward[1] * 9.0)])
        at = Point(corner).distance(area.exterior.intersection(ray)) + rng.uniform(-0.08, 0.05)
        half = 1.5
        p = (corner[0] + inward[0] * at, corner[1] + inward[1] * at)
        across = (-inward[1], inward[0])
        saw = Polygon([(p[0] + across[0] * half, p[1] + across[1] * half),
                       (p[0] - across[0] * half, p[1] - across[1] * half),
                       (p[0] - across[0] * half - inward[0] * 3, p[1] - across[1] * half - inward[1] * 3),
                       (p[0] + across[0] * half - inward[0] * 3, p[1] + across[1] * half - inward[1] * 3)])
        edge = edge.difference(saw)
    elif fault < 0.45:  # a notch from the side
        a, b = ring[k], ring[(k + 1) % len(ring)]
        part, along = rng.uniform(0.3, 0.7), unit(a, b)
        middle = (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)
        inward = (-along[1], along[0]) if edge.exterior.is_ccw else (along[1], -along[0])
        deep = area.exterior.distance(Point(middle)) * rng.uniform(0.5, 1.05)
        wide = deep * math.tan(math.radians(rng.uniform(20.0, 45.0))) * 1.2
        notch = Polygon([(middle[0] - along[0] * wide - inward[0] * 0.2 * deep, middle[1] - along[1] * wide - inward[1] * 0.2 * deep),
                         (middle[0] + along[0] * wide - inward[0] * 0.2 * deep, middle[1] + along[1] * wide - inward[1] * 0.2 * deep),
                         (middle[0] + inward[0] * deep, middle[1] + inward[1] * deep)])
        edge = edge.difference(notch)
    if edge.geom_type != "Polygon" or not edge.is_valid or edge.interiors:
        return None
    ring = list(edge.exterior.coords)[:-1]
    ring = ring if edge.exterior.is_ccw else ring[::-1]
    return ring if all(math.dist(a, b) > 0.02 for a, b in zip(ring, ring[1:] + ring[:1])) else None


# --------------------------------------------------------------------------------------------------- paths


def offset_span(start, end, bulge, by):
    """A span moved outward; `None` where its arc is too tight."""
    if bulge == 0.0:
        u = unit(start, end)
        move = (u[1] * by, -u[0] * by)
        return (start[0] + move[0], start[1] + move[1]), (end[0] + move[0], end[1] + move[1])
    centre, radius, _, turn = arc_of(start, end, bulge)
    grown = radius + math.copysign(by, turn)
    if grown < 0.01:
        return None
    grow = lambda p: (centre[0] + (p[0] - centre[0]) * grown / radius, centre[1] + (p[1] - centre[1]) * grown / radius)
    return grow(start), grow(end)


def tangents(start, end, bulge):
    """Direction at the start and at the end of a span."""
    if bulge == 0.0:
        u = unit(start, end)
        return u, u
    half = 2.0 * math.atan(bulge)
    u = unit(start, end)
    return turned([u], -half)[0], turned([u], half)[0]


def offset_by_spans(path, by, mitre):
    """The path `by` outside another, span for span; `None` where a span vanishes or two arcs would have to be cut."""
    count, made = len(path), []
    spans = [(path[k][:2], path[(k + 1) % count][:2], path[k][2]) for k in range(count)]
    moved = [offset_span(*span, by) for span in spans]
    if None in moved:
        return None
    ends = [tangents(*span) for span in spans]
    starts = [list(m[0]) for m in moved]
    joins = [[] for _ in spans]
    for k in range(count):
        after = (k + 1) % count
        u, v = ends[k][1], ends[after][0]
        turn = math.atan2(cross(u, v), u[0] * v[0] + u[1] * v[1])
        both_lines = spans[k][2] == 0.0 and spans[after][2] == 0.0
        if abs(turn) < 1e-9:
            continue
        if turn < 0.0 or (mitre and turn < 1.7 and both_lines):
            if not both_lines:
                return None
            p, q = moved[k][0], moved[after][0]
            t = cross((q[0] - p[0], q[1] - p[1]), v) / cross(u, v)
            meet = (p[0] + u[0] * t, p[1] + u[1] * t)
            moved[k], starts[after] = (moved[k][0], meet), list(meet)
            moved[after] = (meet, moved[after][1])
        else:
            joins[k] = [(*moved[k][1], math.tan(turn / 4.0))]
    for k in range(count):
        start, end = starts[k], moved[k][1]
        chord = (end[0] - start[0], end[1] - start[1])
        old = (spans[k][1][0] - spans[k][0][0], spans[k][1][1] - spans[k][0][1])
        if math.hypot(*chord) < 1e-6 or chord[0] * old[0] + chord[1] * old[1] <= 0.0:
            return None
        made += [(*start, spans[k][2]), *joins[k]]
    return made


def offset(path, by, mitre, rough=False, sag=2e-6):
    """The way of a cutter's axis round an outline, `by` outside it: arcs and lines, or, where those will not do, chords
    of the outermost ring of all points that far away; few of them for a way that is only there to clear."""
    area = Polygon(flat(path, sag))
    made = offset_by_spans(path, by, mitre)
    if made is not None:
        ring = Polygon(flat(made, sag))
        if ring.is_valid and ring.exterior.is_ccw and ring.exterior.distance(area) > by - 1e-5:
            return made
    # pushed out by as much as chords lie inside their arcs
    chords, within = (4, 4e-3) if rough else (12, 5e-5)
    far = by / math.cos(math.pi / 4.0 / chords) + 1e-4 + within
    ring = Polygon(flat(path, 1e-4 + within)).buffer(far, quad_segs=chords).simplify(within).exterior
    ring = ring if ring.is_ccw else ring.reverse()
    return [(x, y, 0.0) for x, y in list(ring.coords)[:-1]]
