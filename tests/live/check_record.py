#!/usr/bin/env python3
"""Hold the files of `blockwright sheet` against libraries made by somebody else.

    python3 tests/live/check_record.py PATH_TO_blockwright

For every samples/*/job.json the record is written into a folder and read back:

- the body (STL): every edge between two triangles, one each way; volume by manifold3d, against the blank less what the
  check removed; area at several heights against blank less tool paths in shapely, so that an undercut is kept
- the drawing (DXF): read by ezdxf; outline and edge against the job's own, swept areas against tool paths in shapely
- plan and walls (SVG): page size in the job's unit, outline and edge against the job's own; the wall at the gauge height
  against the list of stations
- the lists (CSV): against `check --json`
- the page (HTML) and the document (PDF, read by poppler): figures, checksums and cautions in their text; nothing that is
  fetched; a sheet of A4 or Letter
- one of them written twice: the same bytes; one with names that would do something instead of being read

Jobs and programs are read by reader.py and check_shapely.py beside this file; nothing is taken from Blockwright.

Needs: python3, shapely 2, ezdxf, manifold3d, numpy, and pdftotext and pdfinfo of poppler. Exit status: 0 all hold, 1 at
least one does not.
"""

import csv
import html.parser
import json
import math
import re
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
import zlib
from pathlib import Path

import ezdxf
import manifold3d
import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import unary_union

from check_shapely import Closed, sweep
from reader import job_of, zero_of

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
DATE = "2026-11-30"

CELL = {"inch": 0.01, "mm": 0.25}  # of the check and of the body
SCALE = {"inch": 0.0001, "mm": 0.0025}  # drawings at true scale
AREA = 0.004  # a layer of the body against shapely: cells along the wall fall to either side
ALONE = {"round-puck", "vent-cover-die"}  # checked once more by themselves, and with their pictures
SAG = {"inch": 5e-7, "mm": 1e-5}


class Tally:
    def __init__(self):
        self.passed = self.failed = 0
        self.worst = {}

    def hold(self, sample, what, good, more=""):
        if good:
            self.passed += 1
        else:
            self.failed += 1
            print(f"FAILED {sample}: {what} {more}")

    def near(self, sample, what, got, want, tolerance):
        off = abs(got - want) / tolerance
        self.worst[what] = max(off, self.worst.get(what, 0.0))
        self.hold(sample, what, off <= 1.0, f"{got:.6f}, {want:.6f} expected, allowed {tolerance:g}")


def run(binary, *args):
    done = subprocess.run([binary, *map(str, args)], capture_output=True, text=True, stdin=subprocess.DEVNULL)
    if done.returncode not in (0, 1):
        raise RuntimeError(f"{args}: status {done.returncode}: {done.stderr}")
    return done


# ------------------------------------------------------------------------------------------------------ body


def triangles(path):
    data = path.read_bytes()
    count = int.from_bytes(data[80:84], "little")
    if data[:5] == b"solid" or len(data) != 84 + 50 * count:
        raise ValueError(f"{path.name} is not a binary STL")
    kind = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    return np.frombuffer(data, kind, count, 84)["corners"]


def check_body(sample, path, job, proof, outline, edge, areas, tally):
    corners = triangles(path)
    points, index = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    faces = index.reshape(-1, 3)
    tally.hold(sample, "no triangle without a side", bool((faces[:, [0, 1, 2]] != faces[:, [1, 2, 0]]).all()))
    ways = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    there, counts = np.unique(ways, axis=0, return_counts=True)
    back = np.unique(ways[:, ::-1], axis=0)
    tally.hold(sample, "every edge once each way", bool((counts == 1).all()) and np.array_equal(there, back))
    body = manifold3d.Manifold(manifold3d.Mesh(points.astype(np.float32), faces.astype(np.uint32)))
    tally.hold(sample, "a body to manifold3d", body.status() == manifold3d.Error.NoError, body.status())
    blank = job["blank"]
    whole = edge.polygon.area * blank["thickness"]
    left = whole - sum(each.get("removed_volume", 0.0) for each in proof["passes"])
    tally.near(sample, "volume of the body, of the blank's", body.volume() / whole, left / whole, 0.002)
    bottom = blank["top"] - blank["thickness"]
    for part, area in areas.items():
        height = bottom + blank["thickness"] * part
        got = body.slice(height).area()
        tally.near(sample, "area of a layer", got / area.area, 1.0, AREA)


def areas_of(folder, job, edge):
    """Blank less all that the passes sweep, at heights near the foot, in the middle and near the top of the wall."""
    tools = {tool["number"]: tool for tool in job["tools"]}
    found = {}
    for part in (0.03, 0.1, 0.5, 0.83):
        height = job["blank"]["top"] - job["blank"]["thickness"] * (1.0 - part)
        area = edge.polygon
        try:
            for given in job["passes"]:
                text = (folder / given["program"]).read_text(encoding="ascii")
                swept, _ = sweep(job, tools[given["tool"]], given, text, height, 2e-5)
                area = area.difference(swept) if swept is not None else area
        except ValueError:
            continue  # a ramp or helix through that height is not known to the reader
        found[part] = area
    return found


# ---------------------------------------------------------------------------------------------------- drawings


def flat(vertices, sag):
    """Points of a closed path of (x, y, bulge), its arcs flattened."""
    return list(Closed({"vertices": [list(v) for v in vertices]}, sag).polygon.exterior.coords)


def distinct(vertices):
    """Without vertices that lie on the one before: a capsule may begin in a point."""
    out = [v for k, v in enumerate(vertices) if math.dist(v[:2], vertices[k - 1][:2]) > 1e-12]
    return out if len(out) > 1 else []


def polygon_of(entity, sag):
    if entity.dxftype() == "CIRCLE":
        centre, radius = entity.dxf.center, entity.dxf.radius
        return Point(centre.x, centre.y).buffer(radius, quad_segs=512)
    vertices = [(v.dxf.location.x, v.dxf.location.y, v.dxf.bulge) for v in entity.vertices]
    vertices = distinct(vertices)
    return Polygon(flat(vertices, sag)).buffer(0.0) if len(vertices) > 1 else Point(0, 0).buffer(0)


def far(one, other):
    """The farthest that a vertex of either line lies from the other line."""

    def most(line, to):
        ends = [shapely.get_coordinates(part) for part in shapely.get_parts(to)]
        sides = shapely.linestrings(np.concatenate([np.stack([p[:-1], p[1:]], axis=1) for p in ends]))
        found = shapely.STRtree(sides).query_nearest(
            shapely.points(shapely.get_coordinates(line)), return_distance=True, all_matches=False
        )
        return float(found[1].max())

    return max(most(one, other), most(other, one))


def check_dxf(sample, path, folder, job, proof, outline, edge, tally):
    document = ezdxf.readfile(path)
    tally.hold(sample, "ezdxf finds nothing wrong", not document.audit().errors)
    tally.hold(sample, "release 12", document.dxfversion == "AC1009")
    units, by_layer = job["units"], {}
    for entity in document.modelspace():
        by_layer.setdefault(entity.dxf.layer, []).append(entity)
    for layer, want in (("OUTLINE", outline), ("EDGE", edge)):
        got = [polygon_of(entity, SAG[units]) for entity in by_layer[layer]]
        tally.hold(sample, f"one {layer}", len(got) == 1)
        tally.near(sample, "path in the DXF", far(got[0].exterior, want.polygon.exterior), 0.0, SCALE[units])
        tally.near(sample, "area in the DXF", got[0].area / want.polygon.area, 1.0, 1e-5)
    tools = {tool["number"]: tool for tool in job["tools"]}
    gauge = proof["gauge"]["z"]
    for number, (given, told) in enumerate(zip(job["passes"], proof["passes"]), 1):
        lowest = told["lowest"] + zero_of(given)[2]
        # at its lowest the tip itself counts; just above it the same circle
        height = gauge if gauge >= lowest else lowest + 1e-9
        text = (folder / given["program"]).read_text(encoding="ascii")
        try:
            want, _ = sweep(job, tools[given["tool"]], given, text, height, SAG[units])
        except ValueError:
            continue
        got = unary_union([polygon_of(entity, SAG[units]) for entity in by_layer[f"PASS_{number}_SWEPT"]])
        off = max(far(got.boundary, want.boundary), 0.0)
        tally.near(sample, "swept area in the DXF", off, 0.0, SCALE[units])


PATH = re.compile(r"([MLAZ])([^MLAZ]*)")


def lines_of(data, sag):
    """Points of a path of lines and circular arcs (SVG 1.1, 8.3.8 and F.6.5 for equal radii), y turned up."""
    points = []
    for word, rest in PATH.findall(data):
        numbers = [float(n) for n in rest.split()]
        if word in "ML":
            points.append((numbers[0], numbers[1]))
        elif word == "A":
            radius, _, _, large, turn, x, y = numbers
            points += arc(points[-1], (x, y), radius, bool(large), bool(turn), sag)[1:]
    return [(x, -y) for x, y in points]


def arc(start, end, radius, large, turn, sag):
    chord = math.dist(start, end)
    away = math.sqrt(max(radius * radius - chord * chord / 4.0, 0.0))
    side = 1.0 if large == turn else -1.0
    nx, ny = -(end[1] - start[1]) / chord, (end[0] - start[0]) / chord
    # with y down a positive turn is clockwise to the eye, counter-clockwise in these numbers' own sense
    cx = (start[0] + end[0]) / 2.0 - side * nx * away
    cy = (start[1] + end[1]) / 2.0 - side * ny * away
    a0, a1 = math.atan2(start[1] - cy, start[0] - cx), math.atan2(end[1] - cy, end[0] - cx)
    sweep_by = (a1 - a0) % math.tau if turn else -((a0 - a1) % math.tau)
    count = max(4, math.ceil(abs(sweep_by) / math.sqrt(8.0 * sag / radius)))
    angles = [a0 + sweep_by * k / count for k in range(count + 1)]
    return [start, *[(cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in angles[1:-1]], end]


SVG = "{http://www.w3.org/2000/svg}"


def svg_groups(path, units, sample, tally):
    root = ET.parse(path).getroot()
    unit = "in" if units == "inch" else "mm"
    box = [float(n) for n in root.get("viewBox").split()]
    for side, length in ((root.get("width"), box[2]), (root.get("height"), box[3])):
        tally.hold(sample, "a page in the job's unit", side.endswith(unit) and abs(float(side[:-2]) - length) < 1e-9, side)
    return {group.get("id"): [each.get("d") for each in group.iter(SVG + "path")] for group in root.iter(SVG + "g")}


def check_svg(sample, made, job, rows, gauge, outline, edge, tally):
    units = job["units"]
    groups = svg_groups(made / "record-plan.svg", units, sample, tally)
    for name, want in (("outline", outline), ("edge", edge)):
        got = Polygon(lines_of(groups[name][0], SAG[units]))
        tally.near(sample, "path in the SVG", far(got.exterior, want.polygon.exterior), 0.0, SCALE[units])
    bar = lines_of(groups["control-length"][1], 1.0)
    tally.near(sample, "control length", math.dist(*bar), 2.0 if units == "inch" else 50.0, 1e-6)
    last = max(int(row["pass"]) for row in rows)
    finished = [row for row in rows if int(row["pass"]) == last]
    for path in sorted(made.glob("record-wall-*.svg")):
        title = ET.parse(path).getroot().find(SVG + "title").text
        station = float(re.search(r"station (-?[\d.]+)", title)[1])
        sides = [LineString(lines_of(d, 1.0)) for d in svg_groups(path, units, sample, tally)["sides"]]
        level = LineString([(-99.0 * (25.4 if units == "mm" else 1), gauge), (99.0 * (25.4 if units == "mm" else 1), gauge)])
        met = [p.x for side in sides for p in points_of(side.intersection(level))]
        near = min(finished, key=lambda row: abs(float(row["station"]) - station))
        # the title's station is rounded, and the list has stations of its own: the wall must not change between
        left = float(near["stock_left"])
        beside = [float(row["stock_left"]) for row in finished if abs(float(row["station"]) - station) < 0.02 * outline.length]
        if left >= 0.0 and max(beside) - min(beside) < SCALE[units]:
            tally.near(sample, "wall in the SVG", min((abs(q - left) for q in met), default=9.0), 0.0, 2 * SCALE[units])


def points_of(shape):
    return [p for p in getattr(shape, "geoms", [shape]) if p.geom_type == "Point"]


# ------------------------------------------------------------------------------------------------------- lists


def check_list(sample, rows, proof, tally):
    by_pass = {}
    for row in rows:
        by_pass.setdefault(int(row["pass"]) - 1, []).append(row)
    for index, told in enumerate(proof["passes"]):
        own = by_pass.get(index, [])
        tally.hold(sample, "rows where there are measures", bool(own) == ("leave" in told))
        if not own:
            continue
        station = np.array([float(row["station"]) for row in own])
        for column, key in (("stock_left", "leave"), ("cut", "cut")):
            values = np.array([float(row[column]) for row in own])
            low, high = told[key]["least"], told[key]["most"]
            tally.hold(sample, f"{column} within the check's", values.min() >= low - 2e-5 and values.max() <= high + 2e-5)
            at = told[key]["least_at"]
            near = values[np.argmin(abs(station - at))]
            tally.hold(sample, f"{column} near its least", values.min() <= near + 1e-9)
        for stretch in told["contact"]:
            inside = (station > stretch["from"] + 1e-4) & (station < stretch["to"] - 1e-4)
            states = {own[k]["contact"] for k in np.flatnonzero(inside)}
            tally.hold(sample, "contact as in the check", states <= {stretch["state"]}, f"{states} {stretch}")


def check_walk(sample, made, job, proof, outline, tally):
    rows = list(csv.DictReader((made / "record-walk.csv").open(encoding="utf-8", newline="")))
    tools = {tool["number"]: tool for tool in job["tools"]}
    for row in rows:
        given = job["passes"][int(row["pass"]) - 1]
        zero, form = zero_of(given), tools[given["tool"]]["form"]
        if form["kind"] not in ("flat", "undercut"):
            continue
        axis = Point(float(row["readout_x"]) + zero[0], float(row["readout_y"]) + zero[1])
        away = outline.polygon.exterior.distance(axis) * (-1.0 if outline.polygon.contains(axis) else 1.0)
        # both are written to four decimals, or three
        tolerance = 0.00015 if job["units"] == "inch" else 0.0015
        tally.near(sample, "gap of the walk round", float(row["gap"]), away - form["diameter"] / 2.0, tolerance)
        # seen from above: against the line, or against the side as it stands once a pass has taken the line
        seen = float(row["gap"]) - (float(row["stock"]) if row["look_at"] == "side" else 0.0)
        tally.near(sample, "what is seen on the walk round", float(row["seen"]), seen, 2 * tolerance)
    takes = {"face", "edge"}
    gone = next((index for index, told in enumerate(proof["passes"], 1) if told.get("does") in takes), math.inf)
    for row in rows:
        wanted = "side" if int(row["pass"]) > gone else "line"
        tally.hold(sample, f"{wanted} to look at in pass {row['pass']}", row["look_at"] == wanted)
    for number, given in enumerate(job["passes"], 1):
        own = [row["thinnest"] for row in rows if int(row["pass"]) == number]
        tally.hold(sample, "thin places first", own == sorted(own, reverse=True))


def check_under(sample, folder, job, proof, outline, tally):
    """What comes in under the block, against the swept area just below its bottom face in shapely."""
    tools = {tool["number"]: tool for tool in job["tools"]}
    bottom = job["blank"]["top"] - job["blank"]["thickness"]
    for given, told in zip(job["passes"], proof["passes"]):
        under = told.get("under_block")
        lowest = told["lowest"] + zero_of(given)[2]
        tally.hold(sample, "told when below the block", (under is not None) == (lowest < bottom))
        if under is None:
            continue
        tally.near(sample, "lowest tip", under["tip"], lowest, 1e-9)
        if "bed" in job:
            tally.near(sample, "tip above the bed", under["above_bed"], lowest - job["bed"]["top"], 1e-9)
        text = (folder / given["program"]).read_text(encoding="ascii")
        form = tools[given["tool"]]["form"]
        if form["kind"] not in ("flat", "undercut"):
            continue
        # both are widest at the tip
        swept, _ = sweep(job, tools[given["tool"]], given, text, lowest + 1e-9, SAG[job["units"]])
        inside = shapely.get_coordinates(swept.intersection(outline.polygon))
        line = outline.polygon.exterior
        want = max((line.distance(Point(p)) for p in inside), default=0.0)
        tally.near(sample, "reach under the block", under["reach"], want, SCALE[job["units"]])


# ------------------------------------------------------------------------------------------------ page, document


class Text(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.words, self.tags, self.fetched, self.style = [], set(), [], False

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.style = tag == "style"
        for name, value in attrs:
            if name in ("src", "href", "xlink:href", "action", "srcset") and not (value or "").startswith("data:"):
                self.fetched.append(value)

    def handle_data(self, data):
        if self.style:
            self.fetched += re.findall(r"url\(|@import", data)
            self.style = False
        else:
            self.words.append(data)


def figures(folder, job, proof):
    """Texts that must stand in the record."""
    decimals = 4 if job["units"] == "inch" else 3

    def fine(value):
        text = f"{value:.{decimals}f}"
        text = text.lstrip("-") if float(text) == 0.0 else text
        return re.sub(r"^(-?)0\.", r"\1.", text) if job["units"] == "inch" else text

    wanted = [DATE, fine(proof["blank"]["least_margin"])]
    wanted += ["Settingup", "Holding,andwhattheblockstandson", "Startsat", "Feedsendat", "G54", "Z0"]
    for given, told in zip(job["passes"], proof["passes"]):
        bytes_ = (folder / given["program"]).read_bytes()
        wanted += [f"{zlib.crc32(bytes_):08X}", str(len(bytes_)), fine(told["lowest"])]
        wanted.append(fine(told["lowest"] + zero_of(given)[2]))
        under = told.get("under_block", {})
        wanted += [fine(under[key]) for key in ("below", "above_bed", "reach") if key in under]
        for key in ("leave", "cut"):
            if key in told:
                wanted += [fine(told[key]["least"]), fine(told[key]["most"])]
    return wanted


def check_text(sample, made, folder, job, proof, tally):
    page = Text()
    page.feed((made / "record.html").read_text(encoding="utf-8"))
    tally.hold(sample, "nothing is fetched", not page.fetched, page.fetched)
    tally.hold(sample, "no script, no frame", not page.tags & {"script", "iframe", "object", "embed", "link"})
    read = lambda *args: subprocess.run(args, capture_output=True, text=True, check=True).stdout
    pdf = str(made / "record.pdf")
    sheets = read("pdftotext", "-layout", pdf, "-").split("\f")[:-1]
    size = read("pdfinfo", pdf)
    tally.hold(sample, "a usual sheet", re.search(r"Page size:.*\((letter|A4)\)", size) is not None, size)
    for sheet in sheets:
        words = " ".join(sheet.split())
        tally.hold(sample, "cautions on every sheet", "hand on feed hold" in words and "eye protection" in words)
    for name, text in (("HTML", " ".join(page.words)), ("PDF", " ".join(sheets))):
        packed = "".join(text.split())
        for wanted in figures(folder, job, proof):
            tally.hold(sample, f"{wanted} in the {name}", wanted in packed)
        for given in job["passes"]:
            tally.hold(sample, f"{given['name']} in the {name}", "".join(given["name"].split()) in packed)


HOSTILE = [
    "</title><script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)>",
    "long " + "x" * 3000,
    "\u202eevif ssap \u05d0\u05d1\u05d2",
]


def check_hostile(binary, place, tally):
    """Names that would do something instead of being read come out as text, in the page and in the document."""
    folder, made = place / "hostile", place / "hostile" / "record"
    folder.mkdir()
    for path in (SAMPLES / "round-puck").iterdir():
        (folder / path.name).write_bytes(path.read_bytes())
    job = json.loads((folder / "job.json").read_text(encoding="utf-8"))
    job["name"] = HOSTILE[0]
    for given, name in zip(job["passes"], HOSTILE[1:]):
        given["name"] = name
    (folder / "job.json").write_text(json.dumps(job), encoding="utf-8")
    run(binary, "sheet", folder / "job.json", "-o", made, "--date", DATE, "--cell", 0.03, "--no-pictures")
    page = Text()
    page.feed((made / "record.html").read_text(encoding="utf-8"))
    tally.hold("hostile", "no tag of a name", not page.tags & {"script", "img"} and not page.fetched)
    done = subprocess.run(["pdftotext", "-layout", made / "record.pdf", "-"], capture_output=True, text=True, check=True)
    for name, text in (("HTML", "".join(page.words)), ("PDF", done.stdout)):
        packed = "".join(text.split())
        tally.hold("hostile", f"markup as text in the {name}", "".join(HOSTILE[0].split()) in packed)
        tally.hold("hostile", f"no turned direction in the {name}", "\u202e" not in text)
        tally.hold("hostile", f"a long name cut in the {name}", "x" * 100 in packed and "x" * 200 not in packed)


# -------------------------------------------------------------------------------------------------------- main


def check(binary, folder, place, tally):
    sample, job = folder.name, job_of(folder)
    units, made = job["units"], place / folder.name
    more = ["--cell", CELL[units]]
    plain = [] if sample in ALONE else ["--no-pictures"]
    run(binary, "sheet", folder / "job.json", "-o", made, "--date", DATE, *more, *plain)
    proof = json.loads((made / "record-checked.json").read_text(encoding="utf-8"))
    if sample in ALONE:
        alone = json.loads(run(binary, "check", folder / "job.json", "--json", *more).stdout)
        tally.hold(sample, "the result as check tells it", alone == proof)
    outline, edge = Closed(job["outline"], SAG[units]), Closed(job["blank"]["edge"], SAG[units])
    rows = list(csv.DictReader((made / "record-stations.csv").open(encoding="utf-8", newline="")))
    check_list(sample, rows, proof, tally)
    check_walk(sample, made, job, proof, outline, tally)
    check_under(sample, folder, job, proof, outline, tally)
    check_dxf(sample, made / "record.dxf", folder, job, proof, outline, edge, tally)
    check_svg(sample, made, job, rows, proof["gauge"]["z"], outline, edge, tally)
    last = len(job["passes"])
    areas = areas_of(folder, job, edge)
    check_body(sample, made / f"record-block-{last}.stl", job, proof, outline, edge, areas, tally)
    check_text(sample, made, folder, job, proof, tally)
    return made


def main():
    if len(sys.argv) < 2:
        print(__doc__.splitlines()[2].strip(), file=sys.stderr)
        return 2
    binary, tally = sys.argv[1], Tally()
    only = set(sys.argv[2:])
    with tempfile.TemporaryDirectory() as place:
        place = Path(place)
        for folder in sorted(path.parent for path in SAMPLES.glob("*/job.json")):
            if only and folder.name not in only:
                continue
            made = check(binary, folder, place, tally)
            if folder.name == "round-puck":
                units = job_of(folder)["units"]
                again = place / "again"
                run(binary, "sheet", folder / "job.json", "-o", again, "--date", DATE, "--cell", CELL[units])
                one, two = ({p.name: p.read_bytes() for p in each.iterdir()} for each in (made, again))
                tally.hold(folder.name, "the same bytes twice", one == two)
            print(f"{folder.name}: looked at", flush=True)
        if not only:
            check_hostile(binary, place, tally)
    for what, off in sorted(tally.worst.items()):
        print(f"  {what}: {off:.2f} of what is allowed at worst")
    print(f"{tally.passed} passed, {tally.failed} failed")
    return 1 if tally.failed else 0


if __name__ == "__main__":
    sys.exit(main())
