"""The face of the wall at a station at all heights, from how far its places lie from each way; for check_random.py.

At one height z the cutter of a way at height t takes a place when that lies nearer to the way than the cutter's radius
at z - t. On a ray that meets a way squarely the distance falls by what the place goes outward, so that the face lies at
c - r(z - t), c being the distance from the station itself. Stations where a ray does not are left out.
"""

import numpy as np
import shapely
from shapely.geometry import LineString

PLACES = np.linspace(-0.2, 0.2, 17)  # along the ray, in inches
SQUARE = 2e-6  # of an inch: how exactly a distance must fall with the place
HEIGHTS = 6000
NOISE, SHELF = 2e-5, 5e-4  # of an inch: thinner than this nothing tapers, and no shelf hangs over
AIR = -0.3  # of an inch: farther in there is no wall


def radius_at(profile, above):
    """The cutter's radius at heights above its tip; nothing below it."""
    r, z = np.array(profile).T
    z = z + np.arange(len(z)) * 1e-12  # a level part is a step
    found = np.interp(above, z, r)
    return np.where(above < 0.0, -np.inf, found)


def face(block, station, passes):
    """Heights, and where the face lies at each after the first passes; `None` where a ray meets something askew."""
    points, outward, _ = block.outline.places([station])
    point, outward, unit = points[0], outward[0], block.unit
    ray = LineString([point - outward * 0.3 * unit, point + outward * 4.0 * unit])
    sawn = ray.intersection(block.edge)
    if sawn.geom_type != "LineString" or sawn.is_empty:
        return None
    far = np.dot(np.array(sawn.coords) - point, outward).max()
    joints = [z + d for one in block.passes[:passes] for z in one.joints() for d in (-1e-7 * unit, 1e-7 * unit)]
    heights = np.unique([z for z in [*np.linspace(block.bottom, block.top, HEIGHTS), *joints] if block.bottom < z < block.top])
    found = np.full(len(heights), far)
    places = shapely.points(point + outward * (PLACES * unit)[:, None])
    for one in block.passes[:passes]:
        widest = max(r for r, _ in one.profile)
        for slope in one.slopes:
            if shapely.distance(LineString([p[:2] for p in slope]), ray) < widest + 1e-3 * unit:
                near = shapely.distance(LineString([p[:2] for p in slope]), places[len(places) // 2])
                if near < widest + 0.35 * unit:
                    return None
        for height, line in one.lines.items():
            away = shapely.distance(line, places)
            if away.min() > widest or height > block.top:
                continue
            middle = away[len(away) // 2]
            if np.abs(away + PLACES * unit - middle).max() > SQUARE * unit:
                return None
            found = np.minimum(found, middle - radius_at(one.profile, heights - height))
    return heights, found


def undercut(block, station, passes):
    """The top of the undercut and the land above it at a station; `None` where neither is plain."""
    made = face(block, station, passes)
    if made is None:
        return None
    (heights, found), unit = made, block.unit
    solid = found > AIR * unit
    if not solid.any():
        return None
    heights, found = heights[: solid.nonzero()[0].max() + 1], found[: solid.nonzero()[0].max() + 1]
    rises = np.diff(found) > 1e-9 * unit
    top = len(rises)
    while True:
        over = rises[:top].nonzero()[0]
        if not len(over):
            return None
        last = first = over[-1]
        while first > 0 and rises[first - 1]:
            first -= 1
        rise = found[last + 1] - found[first]
        shelf = heights[last + 1] - heights[first] < 1e-6 * unit
        least = (SHELF if shelf else NOISE) * unit
        if 0.5 * least < rise < 2.0 * least:
            return None
        if rise > least:
            break
        top = first
    line = heights[last + 1]
    land = found[last + 1]
    # Two passes meant to be flush differ by the rounding of their programs: that ends no land.
    off = (np.abs(found[last + 1:] - land) > NOISE * unit).nonzero()[0]
    if not len(off):
        return line, heights[-1] - line
    end = last + 1 + off[0]
    while end > last + 2 and abs(found[end - 1] - found[end - 2]) > 1e-9 * unit:
        end -= 1
    return line, heights[end] - line
