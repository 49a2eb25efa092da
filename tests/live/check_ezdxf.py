#!/usr/bin/env python3
"""Hold outlines that Blockwright brings in from DXF against the same drawings measured by somebody else.

    python3 tests/live/check_ezdxf.py PATH_TO_blockwright

ezdxf writes each drawing below as DXF of several releases, text and binary. `blockwright drawing --json` reads it; the
length and the area of what it finds are compared with the formula where there is one, else with what shapely says of
the same drawing as ezdxf follows it, and so is every vertex and every point between. Of one release of each drawing
a job is proven whose outline is that file, on an upright rectangle round it, and the outline's length and least margin
are compared. At last come files that are damaged or say too little: one message, exit status 2.

Needs: python3, ezdxf 1, shapely 2. Exit status: 0 all comparisons hold, 1 at least one does not.
"""

import json
import logging
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
import shapely
from ezdxf.disassemble import recursive_decompose
from shapely.geometry import LineString, Polygon
from shapely.ops import polygonize, unary_union

RELEASES = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
OLD = {"R12"}  # knows no light polylines, splines, ellipses
POINTS = 3000  # on each curve
LOOKS = 300  # at how far the two paths lie apart, along each
LENGTH = 1e-5  # relative; asked of a followed curve is 0.00002 in
AREA = 2e-5  # relative
APART = {"inch": 0.00003, "mm": 0.0006}  # between the two paths: 0.00002 in, 0.0005 mm, and what flattening adds
SAG = {"inch": 2e-6, "mm": 2e-5}  # arcs of what Blockwright found are flattened this finely
PROVEN = ("R12", "R2000")  # releases whose text files are proven as jobs as well
MARGIN = {"inch": 0.0001, "mm": 0.0025}
AROUND = 0.25  # the square blank lies this far outside the outline's box

QUARTER = math.tan(math.pi / 8)


def rounded(space, old, layer="SCRIBE"):
    """A rounded rectangle as one polyline with bulges, 4 x 3 with corners of 0.5."""
    points = [
        (0.5, 0, 0), (3.5, 0, QUARTER), (4, 0.5, 0), (4, 2.5, QUARTER),
        (3.5, 3, 0), (0.5, 3, QUARTER), (0, 2.5, 0), (0, 0.5, QUARTER),
    ]  # fmt: skip
    if old:
        space.add_polyline2d(points, format="xyb", close=True, dxfattribs={"layer": layer})
    else:
        space.add_lwpolyline(points, format="xyb", close=True, dxfattribs={"layer": layer})
    return 2 * 3 + 2 * 2 + math.pi, 12 - (4 - math.pi) * 0.25


def loose(space, old):
    """The same in lines and arcs, in no order, some the other way round."""
    on = {"layer": "SCRIBE"}
    space.add_arc((3.5, 2.5), 0.5, 0, 90, dxfattribs=on)
    space.add_line((3.5, 0), (0.5, 0), dxfattribs=on)
    space.add_line((0, 0.5), (0, 2.5), dxfattribs=on)
    space.add_arc((0.5, 0.5), 0.5, 180, 270, dxfattribs=on)
    space.add_line((0.5, 3), (3.5, 3), dxfattribs=on)
    space.add_arc((0.5, 2.5), 0.5, 90, 180, dxfattribs=on)
    space.add_line((4, 2.5), (4, 0.5), dxfattribs=on)
    space.add_arc((3.5, 0.5), 0.5, 270, 360, dxfattribs=on)
    return 2 * 3 + 2 * 2 + math.pi, 12 - (4 - math.pi) * 0.25


def circle(space, old):
    space.add_circle((1, 2), 1.25, dxfattribs={"layer": "SCRIBE"})
    return 2.5 * math.pi, 1.5625 * math.pi


def mirrored(space, old):
    """Arcs and a circle drawn with their normal down: X runs to the left."""
    on = {"layer": "SCRIBE", "extrusion": (0, 0, -1)}
    space.add_arc((-1, 0), 1, 90, 270, dxfattribs=on)
    space.add_line((1, 1), (-1, 1), dxfattribs={"layer": "SCRIBE"})
    space.add_line((1, -1), (-1, -1), dxfattribs={"layer": "SCRIBE"})
    space.add_arc((1, 0), 1, 270, 90, dxfattribs=on)
    return 2 * math.pi + 4, math.pi + 4


def nested(space, old):
    """The rounded rectangle in a block in a block, on layer 0 so that the placing's layer counts."""
    doc = space.doc
    inner = doc.blocks.new("INNER", base_point=(1, 1))
    rounded(inner, old, layer="0")
    outer = doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (2, 1), dxfattribs={"xscale": 0.5, "yscale": 0.5, "rotation": 30})
    space.add_blockref("OUTER", (5, -2), dxfattribs={"layer": "SCRIBE", "xscale": -1.5, "yscale": 1.5, "rotation": -75})
    return (10 + math.pi) * 0.75, (12 - (4 - math.pi) * 0.25) * 0.75**2


def squeezed(space, old):
    """A block placed with unequal scales: its rounds become parts of ellipses."""
    block = space.doc.blocks.new("SQUEEZED")
    rounded(block, old, layer="0")
    space.add_blockref("SQUEEZED", (1, 1), dxfattribs={"layer": "SCRIBE", "xscale": 2, "yscale": 1, "rotation": 20})
    return None, 2 * (12 - (4 - math.pi) * 0.25)


def spline(space, old):
    """A closed, rational and an open spline with a line back."""
    points = [(0, 0, 0), (3, -1, 0), (6, 0, 0), (7, 3, 0), (4, 5, 0), (1, 4, 0), (-1, 2, 0)]
    space.add_spline(dxfattribs={"layer": "SCRIBE"}).set_closed(points, degree=3)
    return None, None


def rational(space, old):
    entity = space.add_spline(dxfattribs={"layer": "SCRIBE"})
    entity.set_open_rational([(0, 0, 0), (2, 3, 0), (4, -1, 0), (6, 2, 0)], [1, 2, 0.5, 1], degree=3)
    space.add_line((6, 2), (6, -4), dxfattribs={"layer": "SCRIBE"})
    space.add_line((6, -4), (0, 0), dxfattribs={"layer": "SCRIBE"})
    return None, None


def ellipse(space, old):
    """A half ellipse and its axis; normal down, so that it runs the other way."""
    space.add_ellipse((1, 1), (3, 1), 0.4, 0, math.pi, dxfattribs={"layer": "SCRIBE", "extrusion": (0, 0, -1)})
    space.add_line((4, 2), (-2, 0), dxfattribs={"layer": "SCRIBE"})
    return None, math.pi * 10 * 0.4 / 2


logging.getLogger("ezdxf").setLevel(logging.ERROR)  # that release 12 has no unit is known, and tested

CASES = [rounded, loose, circle, mirrored, nested, squeezed, spline, rational, ellipse]
NOT_OLD = {"spline", "rational", "ellipse"}
UNITS = {"inch": 1, "mm": 4}


def dense(entity):
    """Points on the true curve, so many that the chords do not matter: ezdxf's own paths follow arcs with Bézier curves."""
    kind = entity.dxftype()
    if kind == "LINE":
        return [entity.dxf.start, entity.dxf.end]
    if kind == "SPLINE":
        curve = entity.construction_tool()
        knots, degree = curve.knots(), curve.degree
        low, high = knots[degree], knots[-degree - 1]
        return list(curve.points([low + (high - low) * i / POINTS for i in range(POINTS + 1)]))
    turn = 360 if kind in ("ARC", "CIRCLE") else math.tau
    low, high = {
        "ARC": lambda: (entity.dxf.start_angle, entity.dxf.end_angle),
        "CIRCLE": lambda: (0, 360),
        "ELLIPSE": lambda: (entity.dxf.start_param, entity.dxf.end_param),
    }[kind]()
    high += 0 if high > low else turn
    return list(entity.vertices(low + (high - low) * i / POINTS for i in range(POINTS + 1)))


def measured(doc):
    """The drawing as ezdxf lays it out, as a polygon."""
    lines = []
    for whole in recursive_decompose(doc.modelspace()):
        if whole.dxf.layer not in ("SCRIBE", "0"):
            continue
        parts = whole.virtual_entities() if whole.dxftype() in ("LWPOLYLINE", "POLYLINE") else [whole]
        lines += [LineString([(p.x, p.y) for p in dense(part)]) for part in parts]
    snapped = shapely.set_precision(unary_union(lines), 1e-9)
    return max(polygonize(snapped), key=lambda p: p.area)


def drawings(folder):
    """Writes every drawing and yields its name, file, unit, length, area and polygon."""
    for case in CASES:
        polygons = {}
        for release in RELEASES:
            if release in OLD and case.__name__ in NOT_OLD:
                continue
            for binary in (False, True):
                units = "inch" if len(release) % 2 else "mm"
                doc = ezdxf.new(release)
                doc.header["$INSUNITS"] = UNITS[units]
                doc.layers.add("SCRIBE")
                doc.modelspace().add_text("not to be cut", dxfattribs={"layer": "NOTES"})
                doc.modelspace().add_circle((50, 50), 20, dxfattribs={"layer": "OTHER"})
                length, area = case(doc.modelspace(), release in OLD)
                old = release in OLD
                if old not in polygons:  # the drawing is the same in every other release
                    polygons[old] = measured(doc)
                polygon = polygons[old]
                name = f"{case.__name__}-{release}{'-binary' if binary else ''}"
                file = Path(folder) / f"{name}.dxf"
                doc.saveas(file, fmt="bin" if binary else "asc")
                yield name, file, units, length or polygon.length, area or polygon.area, polygon


def run(*command):
    return subprocess.run(command, stdin=subprocess.DEVNULL, capture_output=True, text=True, timeout=120, check=False)


class Tally:
    def __init__(self):
        self.passed = self.failed = 0

    def near(self, name, what, found, right, within):
        self.hold(abs(found - right) <= within, f"{name}: {what} {found}, ezdxf and shapely say {right}")

    def hold(self, good, message):
        self.passed, self.failed = self.passed + bool(good), self.failed + (not good)
        if not good:
            print(message)


def flat(vertices, sag):
    """Points along vertices with bulges, tan(included angle / 4), counter-clockwise positive."""
    points = []
    for (x0, y0, bulge), (x1, y1, _) in zip(vertices, vertices[1:] + vertices[:1]):
        points.append((x0, y0))
        if bulge:
            k = (1 - bulge * bulge) / (4 * bulge)
            cx, cy = (x0 + x1) / 2 - (y1 - y0) * k, (y0 + y1) / 2 + (x1 - x0) * k
            radius, first, turn = math.dist((x0, y0), (cx, cy)), math.atan2(y0 - cy, x0 - cx), 4 * math.atan(bulge)
            count = math.ceil(abs(turn) / math.sqrt(8 * sag / radius))
            angles = [first + turn * i / count for i in range(1, count)]
            points += [(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles]
    return points


def farthest(points, line):
    """How far some of these points lie from a line at the most."""
    return shapely.distance(line, shapely.points(points[:: max(1, len(points) // LOOKS)])).max()


def check_drawing(program, tally, name, file, units, length, area, polygon):
    """The drawing as the command `drawing` reads it."""
    said = run(program, "drawing", str(file), "--layer", "SCRIBE", "--units", units, "--json")
    if said.returncode != 0:
        tally.hold(False, f"{name}: exit status {said.returncode}: {said.stderr.strip()}")
        return
    found = json.loads(said.stdout)
    layer = found["layers"][0]
    taken = layer["closed"][layer["taken"]]
    tally.hold(found["units"] == units, f"{name}: the unit is {found['units']}, not {units}")
    tally.hold(layer["troubles"] == [], f"{name}: {layer['troubles']}")
    tally.near(name, "length", taken["length"], length, LENGTH * length)
    tally.near(name, "area", taken["area"], area, AREA * area)
    own = flat([(*v, 0.0)[:3] for v in taken["vertices"]], SAG[units])
    apart = max(farthest(own, polygon.exterior), farthest(polygon.exterior.coords, Polygon(own).exterior))
    tally.near(name, "farthest apart", apart, 0.0, APART[units])


def check_proof(program, tally, name, file, units, length, polygon):
    """The drawing as the outline of a job, on an upright rectangle that stands off its box."""
    x0, y0, x1, y1 = polygon.bounds
    x0, y0, x1, y1 = x0 - AROUND, y0 - AROUND, x1 + AROUND, y1 + AROUND
    job = {
        "schema": "blockwright-job/1",
        "units": units,
        "outline": {"file": file.name, "layer": "SCRIBE", "units": units},
        "blank": {"edge": {"vertices": [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]}, "top": 0, "thickness": 1},
        "tools": [],
        "passes": [],
    }
    path = file.with_suffix(".json")
    path.write_text(json.dumps(job), encoding="utf-8")
    said = run(program, "prove", str(path), "--json", "--cell", str(min(x1 - x0, y1 - y0) / 100))
    if said.returncode not in (0, 1):
        tally.hold(False, f"{name}: exit status {said.returncode}: {said.stderr.strip()}")
        return
    proof = json.loads(said.stdout)
    tally.near(name, "proven length", proof["outline"]["length"], length, LENGTH * length)
    tally.near(name, "proven least margin", proof["blank"]["least_margin"], AROUND, MARGIN[units])


def spoiled(folder):
    """Files that can't be used, each with words that its message must hold."""
    doc = ezdxf.new("R2010")
    doc.header["$INSUNITS"] = 1
    doc.layers.add("SCRIBE")
    rounded(doc.modelspace(), False)
    good = Path(folder) / "good.dxf"
    doc.saveas(good)
    doc.saveas(good.with_suffix(".bin"), fmt="bin")
    text, binary = good.read_text(encoding="utf-8"), good.with_suffix(".bin").read_bytes()
    cases = [
        ("cut.dxf", text[: len(text) // 2], "line"),
        ("cut-binary.dxf", binary[: len(binary) // 3], "byte"),
        ("letters.dxf", text.replace("\n3.5\n", "\nthree\n", 1), "must be a number"),
        ("other.dxf", text.replace("SCRIBE", "DYE"), "there is no layer"),
        ("unknown.dxf", "G0 X1 Y2\nG1 Z3\n", "line 1"),
        ("empty.dxf", "", "EOF"),
        ("no-unit.dxf", text.replace("$INSUNITS", "$OTHER"), "unit"),
    ]
    for name, content, words in cases:
        file = Path(folder) / name
        file.write_bytes(content if isinstance(content, bytes) else content.encode())
        yield file, words


def main():
    if len(sys.argv) != 2:
        print("usage: check_ezdxf.py PATH_TO_blockwright", file=sys.stderr)
        return 1
    program, tally = sys.argv[1], Tally()
    with tempfile.TemporaryDirectory() as folder:
        for name, file, units, length, area, polygon in drawings(folder):
            check_drawing(program, tally, name, file, units, length, area, polygon)
            if name.endswith(PROVEN):
                check_proof(program, tally, name, file, units, length, polygon)
        for file, words in spoiled(folder):
            said = run(program, "drawing", str(file), "--layer", "SCRIBE")
            told = said.stderr.count("\n") == 1 and file.name in said.stderr and words in said.stderr
            tally.hold(said.returncode == 2 and told and not said.stdout,
                       f"{file.name}: exit status {said.returncode}, said: {said.stderr.strip() or said.stdout[:80]}")
    print(f"ezdxf {ezdxf.__version__}, shapely {shapely.__version__}: {tally.passed} passed, {tally.failed} failed")
    return 1 if tally.failed or not tally.passed else 0


if __name__ == "__main__":
    sys.exit(main())
