"""Jobs and programs for the checks in this folder, read without anything of Blockwright.

Only the words and the keys that the samples and the jobs of these checks use are known; everything else is refused,
so that nothing is skipped in silence.
"""

import csv
import json
import math
import re

WORD = re.compile(r"([A-Z])([-+]?(?:\d+\.?\d*|\.\d+))")
KNOWN_G = {0, 1, 2, 3, 17, 20, 21, 40, 49, 54, 80, 90, 94}
KNOWN_M = {3, 5, 6, 8, 9, 30}


def job_of(folder):
    """The job in a folder, with the outline and the edge as vertices wherever they come from."""
    job = json.loads((folder / "job.json").read_text(encoding="utf-8"))
    for holder, key in ((job, "outline"), (job.get("blank", {}), "edge")):
        if key in holder:
            holder[key] = {"vertices": vertices_of(folder, holder[key], job["units"])}
    return job


def vertices_of(folder, source, units):
    """Vertices of a path that a job states: its own, or those of a file in the job's unit."""
    if "vertices" in source:
        return source["vertices"]
    path = folder / source["file"]
    if path.suffix == ".csv":
        if source["units"] != units:
            raise ValueError(f"{path.name}: points in another unit than the job's are not known here")
        return listed(path)
    if path.suffix == ".dxf":
        return drawn(path, source["layer"], units)
    raise ValueError(f"{path.name}: files of this kind are not known here")


def listed(path):
    """Points of a list whose first line names its columns."""
    rows = csv.DictReader(line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#"))
    return [[float(row["x"]), float(row["y"])] for row in rows]


def drawn(path, layer, units):
    """Vertices of the one closed path that the lines and arcs of a layer make, from the start of the first of them."""
    text = [line.strip() for line in path.read_text(encoding="ascii").splitlines()]
    pairs = list(zip(map(int, text[0::2]), text[1::2]))
    if pairs[pairs.index((9, "$INSUNITS")) + 1] != (70, "1" if units == "inch" else "4"):
        raise ValueError(f"{path.name}: drawings in another unit than the job's are not known here")
    pieces, starts = [], [k for k, (code, _) in enumerate(pairs) if code == 0]
    for start, end in zip(starts, starts[1:]):
        kind, groups = pairs[start][1], dict(pairs[start + 1 : end])
        if groups.get(8) != layer:
            continue
        value = lambda code: float(groups[code])
        if kind == "LINE":
            pieces.append(((value(10), value(20)), (value(11), value(21)), 0.0))
        elif kind == "ARC":  # counter-clockwise from its first angle to its second
            angles = [math.radians(value(code)) for code in (50, 51)]
            ends = [(value(10) + value(40) * math.cos(a), value(20) + value(40) * math.sin(a)) for a in angles]
            pieces.append((*ends, math.tan((angles[1] - angles[0]) % math.tau / 4.0)))
        else:
            raise ValueError(f"{path.name}: {kind} is not read here")
    vertices, here, first = [], pieces[0][0], pieces[0][0]
    while pieces:
        near = [(math.dist(here, piece[end]), k, end) for k, piece in enumerate(pieces) for end in (0, 1)]
        gap, k, end = min(near) if vertices else (0.0, 0, 0)
        if gap > 1e-6:
            raise ValueError(f"{path.name}: nothing goes on at {here}")
        piece = pieces.pop(k)
        vertices.append([*here, piece[2] if end == 0 else -piece[2]])
        here = piece[1 - end]
    if math.dist(here, first) > 1e-6:
        raise ValueError(f"{path.name}: it does not close")
    return vertices


def motions(text, units):
    """Motions in the job's unit: (kind, start, end, centre); a start coordinate may be None before the first move."""
    scale, mode, here, out = 1.0, None, [None, None, None], []
    for number, raw in enumerate(text.splitlines(), 1):
        line = re.sub(r"\([^)]*\)", "", raw).replace(" ", "").strip()
        if line in ("", "%"):
            continue
        words = WORD.findall(line)
        if "".join(letter + value for letter, value in words) != line:
            raise ValueError(f"line {number}: not understood: {raw}")
        target, offset = list(here), [0.0, 0.0]
        for letter, value in words:
            value = float(value)
            if letter == "G":
                if value not in KNOWN_G:
                    raise ValueError(f"line {number}: G{value:g} is not read here")
                if value in (0, 1, 2, 3):
                    mode = int(value)
                elif value in (20, 21):
                    per = 25.4 if value == 20 else 1.0
                    scale = per / (25.4 if units == "inch" else 1.0)
            elif letter == "M":
                if value not in KNOWN_M:
                    raise ValueError(f"line {number}: M{value:g} is not read here")
            elif letter in "XYZ":
                target["XYZ".index(letter)] = value * scale
            elif letter in "IJ":
                offset["IJ".index(letter)] = value * scale
            elif letter not in "ONTSF":
                raise ValueError(f"line {number}: {letter} is not read here")
        if not any(letter in "XYZ" for letter, _ in words):
            continue
        centre = None
        if mode in (2, 3):
            centre = (here[0] + offset[0], here[1] + offset[1])
        out.append((mode, tuple(here), tuple(target), centre))
        here = target
    return out


def turn_of(mode, start, end, centre):
    """The angle that an arc turns through, counter-clockwise positive; a whole turn where it ends as it starts."""
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    a1 = math.atan2(end[1] - centre[1], end[0] - centre[0])
    turn = (a1 - a0) % math.tau if mode == 3 else -((a0 - a1) % math.tau)
    if abs(turn) < 1e-9:
        turn = math.tau if mode == 3 else -math.tau
    return turn


def arc_steps(radius, turn, sag):
    """Chords that keep within `sag` of an arc."""
    return max(8, math.ceil(abs(turn) / math.sqrt(8.0 * sag / radius)))


def arc_points(mode, start, end, centre, sag):
    """Flattened arc and its length; the radius runs evenly from that of the start to that of the end."""
    r0, r1 = math.dist(start[:2], centre), math.dist(end[:2], centre)
    a0 = math.atan2(start[1] - centre[1], start[0] - centre[0])
    turn = turn_of(mode, start, end, centre)
    count = arc_steps(max(r0, r1), turn, sag)
    points = []
    for k in range(count + 1):
        part = k / count
        radius, angle = r0 + (r1 - r0) * part, a0 + turn * part
        points.append((centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)))
    points[0], points[-1] = tuple(start[:2]), tuple(end[:2])
    return points, abs(turn) * (r0 + r1) / 2.0


def zero_of(given):
    """The zero of a pass; a turned one is refused."""
    zero = given.get("zero", [0, 0, 0])
    if len(zero) > 3 or "turn" in given:
        raise ValueError("a turned zero is not known here")
    return zero


def evened(step):
    """By how much a polygon of chords of this angle is made wider to have the area of its circle."""
    return math.sqrt(step / math.sin(step))


def silhouette(form, steps):
    """Half of a cutter's silhouette as (radius, height) points from the tip up. Its rounded corners are `steps` chords,
    those of a ball and of an edge rounding keep the area. Above its last point the cutter goes on at that radius."""
    kind = form["kind"]
    tan = lambda degrees: math.tan(math.radians(degrees))
    quarter = [k * math.pi / 2.0 / steps for k in range(steps + 1)]
    even = evened(math.pi / 2.0 / steps)
    if kind == "flat":
        return [(form["diameter"] / 2.0, 0.0)]
    if kind in ("ball", "bull"):
        radius = form["diameter"] / 2.0
        corner = form.get("corner_radius", radius)
        r = corner * even if kind == "ball" else corner  # a bull nose keeps its flat end where it is
        return [(radius - corner + r * math.sin(a), corner - r * math.cos(a)) for a in quarter]
    if kind == "undercut":
        radius, height = form["diameter"] / 2.0, form["height"]
        return [(radius, 0.0), (radius - height * tan(form["angle"]), height)]
    if kind == "edge_round":
        pilot, radius, length = form["pilot_diameter"] / 2.0, form["radius"], form.get("pilot_length", 0.0)
        below = [(pilot, 0.0)] if length > 0.0 else []
        r = radius * even
        return below + [(pilot + radius - r * math.cos(a), length + r * math.sin(a)) for a in quarter]
    if kind == "chamfer":
        tip, height = form["tip_diameter"] / 2.0, form["height"]
        return [(tip, 0.0), (tip + height * tan(form["angle"]), height)]
    if kind == "drill":
        radius = form["diameter"] / 2.0
        return [(0.0, 0.0), (radius, radius / tan(form["point_angle"] / 2.0))]
    if kind == "silhouette":
        return [tuple(point) for point in form["points"]]
    raise ValueError(f"a {kind} tool is not known here")


def widest(points, low, high):
    """The greatest radius of a silhouette between two heights above the tip; `None` where both lie under it."""
    if high < 0.0:
        return None
    low = max(low, 0.0)
    radii = [r for r, z in points if low <= z <= high]
    top = points[-1]
    for height in (low, high):
        if height >= top[1]:
            radii.append(top[0])
        for (r0, z0), (r1, z1) in zip(points, points[1:]):
            if z0 <= height <= z1 and z1 > z0:
                radii.append(r0 + (r1 - r0) * (height - z0) / (z1 - z0))
    return max(radii)
