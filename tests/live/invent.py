"""Invented jobs for check_random.py: a block, its passes, and in one job of three a wrong move. All from one seed."""

import json
import math
import random

from shapely import maximum_inscribed_circle
from shapely.geometry import LineString, Point, Polygon

from shapes import arc_of, blank, flat, is_sound, offset, outline, tangents

SAFE = 0.4  # above the blank
CLEAR = 0.06  # a cutter comes down beside the blank at least this far from it
WRONGS = ["groove", "ramp", "plunge", "slanted plunge", "rapid", "level left out", "sides left out"]


def tan(degrees):
    return math.tan(math.radians(degrees))


class Program:
    """The lines of a program in the making, in inches, written in the job's unit."""

    def __init__(self, number, title, tool, metric):
        self.scale, self.digits = (25.4, 4) if metric else (1.0, 5)
        self.lines = ["%", f"O{number} ({title.upper()})", "(SAMPLE - NOT FOR A MACHINE)",
                      f"{'G21' if metric else 'G20'} G17 G90 G94 G40 G49 G80", f"T{tool} M6", "S2500 M3"]
        self.wrong = []
        self.here = [None, None, None]

    def words(self, letters, values):
        return " ".join(f"{letter}{value * self.scale:.{self.digits}f}" for letter, value in zip(letters, values))

    def write(self, text, wrong=False):
        self.lines.append(text)
        if wrong:
            self.wrong.append(len(self.lines))

    def go(self, mode, x=None, y=None, z=None, feed=None, wrong=False):
        words = [(letter, value) for letter, value in zip("XYZ", (x, y, z)) if value is not None]
        text = f"G{mode} " + self.words(*zip(*words))
        self.write(text + (f" F{feed * self.scale:.1f}" if feed else ""), wrong)
        self.here = [old if new is None else new for old, new in zip(self.here, (x, y, z))]

    def arc(self, end, centre, turn, z=None):
        words = self.words("XYIJ", (*end, centre[0] - self.here[0], centre[1] - self.here[1]))
        self.write(f"G{3 if turn > 0 else 2} {words}" + (f" {self.words('Z', [z])}" if z is not None else ""))
        self.here = [*end, self.here[2] if z is None else z]

    def text(self, safe):
        self.go(0, z=safe)
        return "\n".join([*self.lines, "M5", "M30", "%", ""])


class Way:
    """A closed way round the outline with a place to come in from beside the blank."""

    def __init__(self, rng, path, by, area, edge, radius):
        if rng.random() < 0.5:  # clockwise
            path = [(b[0], b[1], -a[2]) for a, b in zip(path[::-1], path[::-1][-1:] + path[::-1][:-1])]
        spans = [(path[k][:2], path[(k + 1) % len(path)][:2], path[k][2]) for k in range(len(path))]
        ring = Polygon(flat(path, 1e-4))
        outward = 1.0 if ring.exterior.is_ccw else -1.0
        order = sorted(range(len(spans)), key=lambda k: -math.dist(*spans[k][:2]))
        order = [k for k in order if spans[k][2] == 0.0][:6]
        rng.shuffle(order)
        for k in order:
            a, b, _ = spans[k]
            u, _ = tangents(*spans[k])
            n = (u[1] * outward, -u[0] * outward)
            part = rng.uniform(0.3, 0.7)
            start = (a[0] + (b[0] - a[0]) * part, a[1] + (b[1] - a[1]) * part)
            for step in range(1, 60):
                out = (start[0] + n[0] * step * 0.05, start[1] + n[1] * step * 0.05)
                if edge.distance(Point(out)) > radius + CLEAR:
                    break
            else:
                continue
            lead = LineString([start, out])
            if lead.distance(area) < by - 1e-5:
                continue
            self.out, self.start = out, start
            self.spans = [(start, b, 0.0), *spans[k + 1:], *spans[:k], (a, start, 0.0)]
            self.spans = [span for span in self.spans if math.dist(*span[:2]) > 1e-7]
            return
        raise ValueError("no place to come in")

    def lap(self, program, spans=None):
        for a, b, bulge in self.spans if spans is None else spans:
            if bulge == 0.0:
                program.go(1, *b)
            else:
                centre, _, _, turn = arc_of(a, b, bulge)
                program.arc(b, centre, turn)

    def run(self, program, rng, z, safe, levels, leave_out=None, feed=12.0):
        """Every level: down beside the blank, in, round, out. `leave_out` takes some spans at the last level higher up."""
        program.go(0, z=safe)
        program.go(0, *self.out)
        for k, level in enumerate(levels):
            program.go(0 if rng.random() < 0.5 else 1, z=level - z, feed=20.0)
            program.go(1, *self.start, feed=feed)
            if leave_out is not None and k == len(levels) - 1:
                half = max(1, len(self.spans) // 3)
                self.lap(program, self.spans[:half])
                program.go(1, z=leave_out - z)
                program.wrong.append(len(program.lines))
                self.lap(program, self.spans[half:])
            else:
                self.lap(program)
            program.go(1, *self.out)


class Job:
    """A job in the making: shapes in inches, Z from the blank's top."""

    def __init__(self, seed):
        self.seed, self.rng = seed, random.Random(f"blockwright {seed}")
        rng = self.rng
        self.metric = rng.random() < 0.4
        while True:
            self.outline = outline(rng)
            if not is_sound(self.outline):
                continue
            self.area = Polygon(flat(self.outline, 2e-6))
            ring = blank(rng, self.area)
            if ring:
                break
        self.edge_points, self.edge = ring, Polygon(ring)
        self.thick = rng.choice([0.5, 0.6, 0.75, 1.0])
        self.tools, self.passes, self.programs = [], [], []
        self.top, self.bottom = 0.0, -self.thick - 0.02
        self.lowest = self.bottom
        self.wrong = rng.choice(WRONGS) if seed % 3 == 0 else None
        self.wrong_pass, self.wrong_lines = None, []
        self.says = rng.random() < 0.5  # whether passes say what they do
        self.candidates = []  # (pass, program, radius, safe) that a wrong move may go into
        self.clears = False
        self.fill()

    # ------------------------------------------------------------------------------------------ tools

    def tool(self, form, length):
        """Adds a tool, its lengths scaled to the job's unit when written."""
        self.tools.append({"number": len(self.tools) + 1, "form": form, "flutes": 3, "flute_length": length})
        return len(self.tools)

    def side_mill(self):
        """A cutter with an upright side: (tool, radius, length of its rounded tip)."""
        rng, diameter = self.rng, self.rng.choice([0.375] if self.clears else [0.25, 0.3125, 0.375, 0.5])
        kind = rng.choice(["flat", "flat", "flat", "bull", "ball", "silhouette"])
        length = self.thick + 0.3
        if kind == "flat":
            return self.tool({"kind": "flat", "diameter": diameter}, length), diameter / 2.0, 0.0
        if kind == "ball":
            diameter = 0.375 if self.clears else 0.25
            return self.tool({"kind": "ball", "diameter": diameter}, length), diameter / 2.0, diameter / 2.0
        tip = rng.choice([0.03, 0.0625])
        if kind == "bull":
            return self.tool({"kind": "bull", "diameter": diameter, "corner_radius": tip}, length), diameter / 2.0, tip
        points = [[diameter / 2.0 - tip, 0.0], [diameter / 2.0, tip], [diameter / 2.0, length]]
        return self.tool({"kind": "silhouette", "points": points}, length), diameter / 2.0, tip

    # ----------------------------------------------------------------------------------------- passes

    def add(self, name, tool, program, safe, zero, does, lowest, allowance=None):
        given = {"name": name, "program": f"{1001 + len(self.passes)}.nc", "tool": tool,
                 "bottom": lowest - zero, "zero": [0.0, 0.0, zero]}
        if allowance is not None:
            given["allowance"] = allowance
        # what a silhouette is for, nobody can suggest
        if does == "inside" or self.says:
            given["does"] = does
        self.passes.append(given)
        self.programs.append((program, safe))
        self.lowest = min(self.lowest, lowest)

    def begin(self, title, tool):
        return Program(1001 + len(self.passes), title, tool, self.metric)

    def round_it(self, name, tool, by, radius, levels, does, allowance=None, mitre=False, wrongs=True, wider=()):
        rng, zero = self.rng, self.top
        program = self.begin(name, tool)
        safe = SAFE - zero
        way = Way(rng, offset(self.outline, by, mitre), by, self.area, self.edge, radius)
        leave_out, levels = None, list(levels)
        lowest = levels[-1]
        if wrongs and does == "profile" and self.wrong_pass is None:
            if self.wrong == "level left out" and len(levels) > 1:
                levels = levels[:-1]
                self.wrong_pass = len(self.passes)
            elif self.wrong == "sides left out":
                leave_out = lowest + self.thick / 2.0
                self.wrong_pass = len(self.passes)
        for out in reversed(wider):
            Way(rng, offset(self.outline, by + out, False, rough=True), by + out, self.area, self.edge, radius).run(program, rng, zero, safe, levels)
        way.run(program, rng, zero, safe, levels, leave_out)
        self.candidates.append((len(self.passes), program, radius, zero))
        self.add(name, tool, program, safe, zero, does, lowest, allowance)

    def profile(self, name, allowance, levels, tools=None):
        tool, radius, tip = tools or self.side_mill()
        down = [level - tip if level == self.bottom else level for level in levels]
        mitre = self.rng.random() < 0.3
        wider = []
        if self.clears and (not self.passes or name.endswith("lower half")):  # no rim is left that a neck could run into
            far = max(self.area.distance(Point(corner)) for corner in self.edge_points)
            wider = [k * 0.95 * radius for k in range(1, math.ceil((far - allowance - radius) / (0.95 * radius)))]
        self.round_it(name, tool, radius + allowance, radius, down, "profile", allowance, mitre, wider=wider)
        return tool, radius, tip

    def undercut(self, name, land_top, line, tip, stands, tool=None):
        """Steps in so that the line comes to `line`; `stands` is what is still on the wall. The tool, or `None` where no
        cutter does it."""
        rng = self.rng
        room = 0.375 - 0.1875 - 0.06 - 0.002  # no farther in than the side mills have been
        if tool is None and rng.random() < 0.2:  # a cutter for slots: its disc reaches up to the line
            disc, neck = line - tip, 0.255
            form = {"kind": "silhouette", "points": [[0.375, 0.0], [0.375, disc], [neck, disc], [neck, 1.4]]}
            number = self.tool(form, disc)
            self.round_it(name, number, 0.375 - rng.uniform(0.02, 0.05), 0.375, [tip], "undercut", wrongs=False)
            return None
        if tool is None:
            angle = rng.choice([5.0, 10.0, 15.0, 20.0])
            step = (line - tip) * tan(angle)
            height = round(min(land_top - tip + rng.uniform(0.0, 0.1), 0.31 / tan(angle)), 4)
            if step > room or height * tan(angle) < step + stands + 0.002:
                return None
            form = {"kind": "undercut", "diameter": 0.75, "angle": angle, "height": height}
            tool = (self.tool(form, height), angle, height)
        number, angle, height = tool
        step = (line - tip) * tan(angle)
        if step > room or height * tan(angle) < step + stands + 0.002:
            return None
        self.round_it(f"{name}, step in {step:.3f}", number, 0.375 - step, 0.375, [tip], "undercut", wrongs=False)
        return tool

    def face(self):
        rng, zero = self.rng, self.top
        down = rng.uniform(0.01, 0.04)
        radius = rng.choice([0.375, 0.5])
        tool = self.tool({"kind": "flat", "diameter": 2.0 * radius}, 0.5)
        program = self.begin("Face", tool)
        x0, y0, x1, y1 = self.edge.bounds
        out = radius + CLEAR
        program.go(0, z=SAFE - zero)
        program.go(0, x0 - out, y0)
        program.go(1, z=-down, feed=20.0)
        rows = math.ceil((y1 - y0) / (1.5 * radius))
        for k in range(rows + 1):
            y = y0 + (y1 - y0) * k / rows
            program.go(1, program.here[0], y, feed=15.0)
            program.go(1, x1 + out if program.here[0] < x0 else x0 - out, y)
        self.candidates.append((len(self.passes), program, radius, zero))
        self.add("Face", tool, program, SAFE - zero, zero, "face", zero - down)
        self.top = zero - down

    def edge_rounding(self, radius):
        rng = self.rng
        if rng.random() < 0.7:
            pilot, length = rng.choice([0.125, 0.1875]), rng.choice([0.0, 0.03])
            tool = self.tool({"kind": "edge_round", "pilot_diameter": 2.0 * pilot, "radius": radius, "pilot_length": length},
                             radius + length)
            tip, name = self.top - radius - length, "Edge rounding"
        else:
            pilot, length = 0.1, 0.0
            tool = self.tool({"kind": "chamfer", "tip_diameter": 2.0 * pilot, "angle": 45.0, "height": radius + 0.1}, radius + 0.1)
            tip, name = self.top - radius, "Chamfer the edge"
        self.round_it(name, tool, pilot, pilot + radius + 0.1, [tip], "edge", wrongs=False)

    def inside(self):
        """A pocket by a helix, a groove by a ramp, or a drilled hole, in the middle of the block."""
        rng, zero = self.rng, self.top
        # maximum_inscribed_circle gives a line from its centre to its rim
        line = maximum_inscribed_circle(self.area)
        (x, y), room = line.coords[0], line.length - 0.12
        kind = rng.choice(["pocket", "groove", "hole"])
        deep = rng.uniform(0.1, 0.25)
        safe = SAFE - zero
        if kind == "hole":
            radius = min(0.125, room)
            tool = self.tool({"kind": "drill", "diameter": 2.0 * radius, "point_angle": 118.0}, 1.0)
        else:
            radius = min(0.125, room / 2.0)
            round_ones = [{"kind": "ball", "diameter": 2.0 * radius}, {"kind": "bull", "diameter": 2.0 * radius, "corner_radius": radius / 4.0}]
            # round tips on a helix take long to follow at all heights of a wall
            form = rng.choice([{"kind": "flat", "diameter": 2.0 * radius}, *([] if self.clears else round_ones)])
            tool = self.tool(form, 0.5)
        if room < 0.06:
            return
        program = self.begin(kind.capitalize(), tool)
        program.go(0, z=safe)
        swing = room - radius
        if kind == "hole":
            program.go(0, x, y)
            program.go(0, z=0.05)
            program.go(1, z=-deep, feed=6.0)
        elif kind == "groove":
            program.go(0, x - swing, y)
            program.go(0, z=0.05)
            program.go(1, z=0.0, feed=6.0)
            program.go(1, x + swing, y, -deep)
            program.go(1, x - swing, y)
        else:
            program.go(0, x + swing, y)
            program.go(0, z=0.05)
            program.go(1, z=0.0, feed=6.0)
            for turn in (1, 2, 3):
                program.arc((x + swing, y), (x, y), 1.0, -deep * turn / 3.0)
            program.arc((x + swing, y), (x, y), 1.0)
        self.add(kind.capitalize(), tool, program, safe, zero, "inside", zero - deep)

    # ------------------------------------------------------------------------------------------ whole

    def fill(self):
        rng = self.rng
        thirds = [-self.thick / 3.0, -2.0 * self.thick / 3.0, self.bottom]
        allowance = rng.uniform(0.03, 0.06)
        first = rng.choice(["one", "three", "halves", "halves", "three"])
        if self.wrong == "level left out":
            first = "three"
        rounding = rng.choice([0.0, 0.06, 0.09, 0.125])
        facing = rng.random() < 0.4
        undercuts = rng.choice([(), (), (), (), (), ("after",), ("before",), ("before", "after"), ("after", "after"), ("before", "after", "after")])
        self.clears = bool(undercuts)
        land = rng.uniform(0.03, 0.08)
        if first == "halves":
            tools = self.profile(f"Rough upper half, leave {allowance:.3f}", allowance, [-self.thick / 2.0])
            self.profile("Rough lower half", allowance, [self.bottom], tools)
        else:
            tools = self.profile(f"Rough, leave {allowance:.3f}", allowance, thirds if first == "three" else [self.bottom])
        if rng.random() < 0.4:
            allowance = 0.015
            self.profile("Rough, leave .015", allowance, [self.bottom], tools if rng.random() < 0.5 else None)
        early = facing and rng.random() < 0.3
        if early:
            self.face()
        face_top = self.top if early or not facing else self.top - 0.04
        land_low = face_top - rounding - land - 0.005
        tip = -self.thick + rng.choice([0.0, 0.02, 0.1])
        lines = sorted(rng.uniform(tip + 0.1, land_low) for _ in undercuts)
        if lines and land_low - tip < 0.15:
            undercuts, lines = (), []
        made = None
        for when, line in zip(undercuts, lines):
            if when == "before":
                made = self.undercut("First undercut", land_low, line, tip, allowance)
        finish_bottom = [self.bottom] if rng.random() < 0.7 else [-self.thick / 2.0, self.bottom]
        self.profile("Finish profile", 0.0, finish_bottom)
        if facing and not early:
            self.face()
        last = None
        for when, line in zip(undercuts, lines):
            if when == "after":
                made = self.undercut("Last undercut" if last else "Undercut", land_low, line, tip, 0.0, made if rng.random() < 0.5 else None)
                last = line
        if rounding:
            self.edge_rounding(rounding)
        if rng.random() < 0.35:
            self.inside()
        self.land_middle = (max(lines, default=-self.thick * 0.6) + self.top - rounding) / 2.0
        self.gauge = self.land_middle if lines or rng.random() < 0.7 else None
        self.wall = (max(lines, default=-self.thick), self.top - rounding)
        if self.wrong and self.wrong_pass is None:
            self.put_wrong()

    def put_wrong(self):
        """A wrong move at the end of a pass, before it goes up for the last time."""
        rng = self.rng
        if self.wrong not in WRONGS[:5]:
            self.wrong = rng.choice(WRONGS[:5])
        index, program, radius, zero = rng.choice(self.candidates)
        if index < len(self.passes) and self.passes[index]["bottom"] + zero > self.top - 0.05:
            # a face cut: its bottom is the finished top, and what stays above that takes nothing
            index, program, radius, zero = next(c for c in self.candidates if c[0] != index)
        safe = SAFE - zero
        deep = rng.uniform(0.06, 0.45 * self.thick)
        z = self.top - deep - zero  # under the finished top
        x0, y0, x1, y1 = self.edge.bounds
        line = maximum_inscribed_circle(self.area)
        x, y = line.coords[0]
        y += rng.uniform(-0.3, 0.3) * line.length
        out = radius + CLEAR
        # not under the pass's own bottom, which would be told by itself
        z = max(z, self.passes[index]["bottom"]) if index < len(self.passes) else z
        program.go(0, z=safe)
        if self.wrong in ("groove", "rapid"):
            program.go(0, x0 - out, y)
            program.go(1, z=z, feed=20.0)
            program.go(1 if self.wrong == "groove" else 0, x1 + out, y, wrong=True)
        elif self.wrong == "ramp":
            program.go(0, x0 - out, y)
            program.go(1, z=0.02, feed=20.0)
            program.go(1, x, y, z, wrong=True)
            program.go(1, x0 - out, y, 0.02, wrong=True)
        else:
            aside = rng.choice([0.0001, 0.002]) if self.wrong == "slanted plunge" else 0.0
            program.go(0, x, y)
            program.go(0, z=0.06)
            program.go(1, x + aside, y, z, feed=6.0, wrong=True)
            program.go(1, z=0.06)
        self.wrong_pass, self.wrong_lines = index, program.wrong

    # ---------------------------------------------------------------------------------------- writing

    def written(self):
        """The job as it is written to its file, in its own unit."""
        scale, digits = (25.4, 5) if self.metric else (1.0, 6)
        put = lambda value: round(value * scale, digits)
        lengths = {"diameter", "corner_radius", "pilot_diameter", "radius", "pilot_length", "tip_diameter", "height"}

        def form(given):
            if given["kind"] == "silhouette":
                return {**given, "points": [[put(r), put(z)] for r, z in given["points"]]}
            return {key: put(value) if key in lengths else value for key, value in given.items()}

        job = {
            "schema": "blockwright-job/1", "name": f"Invented, seed {self.seed}",
            "units": "mm" if self.metric else "inch",
            "outline": {"vertices": [[put(x), put(y), round(b, 9)] if b else [put(x), put(y)] for x, y, b in self.outline]},
            "blank": {"edge": {"vertices": [[put(x), put(y)] for x, y in self.edge_points]}, "top": 0.0, "thickness": put(self.thick)},
            "bed": {"top": put(self.lowest - 0.02)},
            "contact": {"light_below": put(0.01), "heavy_above": put(0.12)},
            "tools": [{**tool, "form": form(tool["form"]), "flute_length": put(tool["flute_length"])} for tool in self.tools],
            "passes": [],
        }
        if self.gauge is not None:
            job["gauge_height"] = put(self.gauge)
        for given in self.passes:
            given = {**given, "bottom": put(given["bottom"]), "zero": [put(v) for v in given["zero"]]}
            if "allowance" in given:
                given["allowance"] = put(given["allowance"])
            job["passes"].append(given)
        return job

    def write(self, folder):
        folder.mkdir(parents=True, exist_ok=True)
        (folder / "job.json").write_text(json.dumps(self.written(), indent=1), encoding="utf-8")
        for given, (program, safe) in zip(self.passes, self.programs):
            (folder / given["program"]).write_text(program.text(safe), encoding="ascii")


def invent(seed):
    """The job of a seed. Shapes that cannot be cut as wished are drawn again."""
    for attempt in range(50):
        try:
            return Job(seed + attempt * 1_000_003 * 3)
        except ValueError:
            continue
    raise RuntimeError(f"seed {seed}: no job can be made")
