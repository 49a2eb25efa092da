"""Small jobs for check_manifold.py, each of one kind of cutter or move, with the volumes that have a closed form."""

import json
import math

BLOCK = (3.0, 2.0, 0.5)  # length, width, thickness; lower left corner of the top at X0 Y0 Z0


def tool(number, kind, **form):
    return {"number": number, "form": {"kind": kind, **form}}


def tan(degrees):
    return math.tan(math.radians(degrees))


def program(*lines):
    return "\n".join(["%", "G20 G17 G90 G94 G40 G49 G80", "S2000 M3", "G0 Z1.", *lines, "G0 Z1.", "M5", "M30", "%", ""])


def slot(y, z):
    """From beyond one end of the block through the other."""
    return program(f"X-1. Y{y}", f"G1 Z{z} F10.", "X4.")


def circle(x, y, radius, z):
    """Down a helix of three turns, and once round at its bottom."""
    down = [f"G3 X{x + radius} Y{y} Z{z * turn / 3:.6f} I{-radius} J0." for turn in range(1, 4)]
    return program(f"X{x + radius} Y{y}", "G1 Z0. F10.", *down, f"G3 X{x + radius} Y{y} I{-radius} J0.")


def bore(radius, z):
    return math.pi * radius * radius * -z


def drilled(diameter, point_angle, z):
    point = diameter / 2.0 / tan(point_angle / 2.0)
    return math.pi * diameter**2 / 4.0 * (-z - point * 2.0 / 3.0)


# Name: tools; passes as (name, tool, program, closed form).
JOBS = {
    "slots": (
        [tool(1, "flat", diameter=0.5), tool(2, "ball", diameter=0.5),
         tool(3, "bull", diameter=0.5, corner_radius=0.1)],
        [("flat", 1, slot(0.35, -0.2), 3.0 * 0.5 * 0.2),
         ("ball", 2, slot(1.0, -0.25), 3.0 * math.pi * 0.25**2 / 2.0),
         ("bull", 3, slot(1.65, -0.2), 3.0 * (0.5 * 0.2 - 2.0 * 0.1**2 * (1.0 - math.pi / 4.0)))],
    ),
    "undercut": (
        [tool(1, "flat", diameter=0.5), tool(2, "undercut", diameter=0.75, angle=10, height=0.25),
         tool(3, "silhouette", points=[[0.3, 0.0], [0.3, 0.1], [0.125, 0.1]])],
        [("dovetail", 2, slot(0.5, -0.25), 3.0 * (0.75 - 0.25 * tan(10)) * 0.25),
         ("tee slot", 3, slot(1.5, -0.3), 3.0 * (0.6 * 0.1 + 0.25 * 0.2)),
         ("groove round the side", 2,
          program("X-.8 Y-.8", "G1 Z-.45 F10.", "X-.3 Y-.3", "Y2.", "G2 X0. Y2.3 I.3 J0.", "G1 X3.",
                  "G2 X3.3 Y2. I0. J-.3", "G1 Y0.", "G2 X3. Y-.3 I-.3 J0.", "G1 X-.5", "Y-.8"), None)],
    ),
    "rounding": (
        [tool(1, "edge_round", pilot_diameter=0.25, radius=0.125, pilot_length=0.05),
         tool(2, "edge_round", pilot_diameter=0.25, radius=0.125)],
        [("one edge", 1, slot(-0.125, -0.175), 3.0 * 0.125**2 * (1.0 - math.pi / 4.0)),
         ("the other three", 2,
          program("X-.5 Y-.5", "G1 Z-.125 F10.", "X-.125", "Y2.", "G2 X0. Y2.125 I.125 J0.", "G1 X3.",
                  "G2 X3.125 Y2. I0. J-.125", "G1 Y-.5"), None)],
    ),
    "chamfer": (
        [tool(1, "chamfer", tip_diameter=0.1, angle=45, height=0.3)],
        # its side stands 0.1 outside the edge at the tip: a triangle of 0.15 by 0.15
        [("one edge", 1, slot(-0.15, -0.25), 3.0 * 0.15**2 / 2.0),
         ("an arc on the top", 1, program("X.75 Y1.", "G1 Z-.1 F10.", "G2 X2.25 Y1. I.75 J0."), None)],
    ),
    "drill": (
        [tool(1, "drill", diameter=0.25, point_angle=118), tool(2, "drill", diameter=0.5, point_angle=90)],
        [("two holes", 1, program("X.5 Y.5", "G1 Z-.4 F5.", "G0 Z.1", "X1.5", "G1 Z-.4", "G0 Z.1"),
          2.0 * drilled(0.25, 118, -0.4)),
         ("spot", 2, program("X2.25 Y1.25", "G1 Z-.2 F5."), math.pi * 0.2**3 / 3.0)],
    ),
    "helix": (
        [tool(1, "flat", diameter=0.5), tool(2, "ball", diameter=0.375),
         tool(3, "bull", diameter=0.5, corner_radius=0.125)],
        [("flat bore", 1, circle(0.75, 1.0, 0.2, -0.4), bore(0.45, -0.4)),
         ("ball", 2, circle(1.75, 0.6, 0.15, -0.3), None),
         ("bull ring", 3, circle(2.25, 1.35, 0.35, -0.25), None)],
    ),
    "ramp": (
        [tool(1, "flat", diameter=0.375), tool(2, "ball", diameter=0.375),
         tool(3, "bull", diameter=0.375, corner_radius=0.0625), tool(4, "undercut", diameter=0.5, angle=15, height=0.3)],
        [("flat", 1, program("X.4 Y.3", "G1 Z0. F10.", "X2.6 Z-.25", "X.4"), None),
         ("ball", 2, program("X.4 Y.8", "G1 Z.05 F10.", "X2.6 Z-.3"), None),
         ("bull", 3, program("X.4 Y1.25", "G1 Z0. F10.", "X1.5 Z-.2", "X2.6 Z-.05"), None),
         # climbs as it goes: the neck, too, takes metal
         ("undercut", 4, program("X-.5 Y1.7", "G1 Z-.4 F10.", "X3.5 Z-.3"), None)],
    ),
}


def job(name, tools, passes):
    length, width, thickness = BLOCK
    edge = {"vertices": [[0, 0], [length, 0], [length, width], [0, width]]}
    return {
        "schema": "blockwright-job/1",
        "name": name,
        "units": "inch",
        "blank": {"edge": edge, "top": 0, "thickness": thickness},
        "tools": tools,
        "passes": [
            {"name": title, "program": f"{number}.nc", "tool": tool}
            for number, (title, tool, *_) in enumerate(passes, 1)
        ],
    }


def write(place, name, tools, passes):
    folder = place / name
    folder.mkdir()
    (folder / "job.json").write_text(json.dumps(job(name, tools, passes)), encoding="utf-8")
    for number, (_, _, text, _) in enumerate(passes, 1):
        (folder / f"{number}.nc").write_text(text, encoding="ascii")
    return folder


def write_all(place):
    """Every job in a folder of its own: (folder, closed forms of its passes, `None` where there is none)."""
    return [(write(place, name, *made), [exact for *_, exact in made[1]]) for name, made in JOBS.items()]


def many_moves(place, count=2000):
    """One lap of an oval in `count` chords."""
    angles = [math.tau * k / count for k in range(count + 1)]
    places = [(1.5 + 1.1 * math.cos(a), 1.0 + 0.6 * math.sin(a) + 0.1 * math.sin(3.0 * a)) for a in angles]
    first, *rest = [f"X{x:.5f} Y{y:.5f}" for x, y in places]
    text = program(first, "G1 Z-.2 F10.", *rest)
    return write(place, f"{count} moves", [tool(1, "flat", diameter=0.25)], [("oval", 1, text, None)])
