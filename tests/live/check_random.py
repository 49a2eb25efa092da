#!/usr/bin/env python3
"""Hold `blockwright check --json` against invented jobs, each from a seed.

    python3 tests/live/check_random.py PATH_TO_blockwright                       # 200 jobs, seeds from 0
    python3 tests/live/check_random.py PATH_TO_blockwright --count 5000 --seed 7 # as many as you like
    python3 tests/live/check_random.py PATH_TO_blockwright --only 4711           # one of them again

invent.py makes a block, its passes and, in one job of three, a wrong move. sections.py cuts the block at many heights
with shapely. What both say of stock left, margin, cut, contact, the top of the undercut and the land is compared here;
a wrong move must be a Stop at its pass and line, and a job without one must have none. Jobs that fail are kept in
target/random/SEED, or where --keep says.

Needs: python3, shapely 2 (which brings numpy). Exit status: 0 all holds, 1 something does not.
"""

import argparse
import copy
import json
import math
import multiprocessing
import os
import random
import resource
import shutil
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path

import numpy as np
import shapely

from invent import invent
from reader import job_of
from sections import Block, Rays
from walls import undercut

# Tolerances by the job's unit.
VALUE = {"inch": 0.0002, "mm": 0.005}  # stock left, cut, margin, lines, lands
WALL = {"inch": 0.0004, "mm": 0.01}  # tops of undercuts and lands: what a cutter of 5 degrees makes of .00003 in
ENDS = {"inch": 0.005, "mm": 0.12}  # ends of a stretch, and the place of a least or most
NONE_BELOW = {"inch": 0.0001, "mm": 0.0025}  # thinner is no contact
SAG = {"inch": 1e-5, "mm": 2.5e-4}  # arcs are flattened this finely
CELL = {"inch": 0.06, "mm": 1.5}
LOOKS = 6  # stations at which a wall is looked at, besides those that the result names
STATIONS = 64  # all round, besides those next to corners and next to what the result names
# Told of the blank and not of a move: a job without a wrong move may have them.
OF_THE_BLANK = {"blank-short"}
NECK_AREA = {"inch": 1e-4, "mm": 0.06}  # less is what circles of many sides differ by


class Fault(Exception):
    """A difference between what was told and what was expected."""


class Compared:
    """One job's differences."""

    def __init__(self, seed):
        self.seed, self.faults, self.worst, self.count = seed, [], {}, 0

    def near(self, what, got, low, high, tolerance, where=""):
        """`got` lies between two values."""
        off = max(low - got, got - high, 0.0)
        self.count += 1
        part = off / tolerance
        if part >= self.worst.get(what, (-1.0,))[0]:
            self.worst[what] = (part, off, f"seed {self.seed} {where}")
        if off > tolerance:
            self.faults.append(f"{what} {where}: {got:.6f} told, {low:.6f} to {high:.6f} expected")

    def hold(self, good, message):
        self.count += 1
        if not good:
            self.faults.append(message)


def stations_of(block, proof, ends):
    """Stations all round, on either side of every corner, and next to every place that the result names."""
    length, hair = block.outline.length, ends * 0.02
    found = [length * (k + 0.37) / STATIONS for k in range(STATIONS)]
    found += [at + d for at in block.outline.starts for d in (-hair, hair, -ends / 2.0, ends / 2.0)]
    named = [proof.get("blank", {}).get("least_margin_at")]
    for row in proof.get("blank", {}).get("short", []):
        named += [row["from"], row["to"]]
    for row in proof["passes"]:
        for range_of in (row.get("leave", {}), row.get("cut", {})):
            named += [range_of.get("least_at"), range_of.get("most_at")]
        named += [end for stretch in row.get("contact", []) for end in (stretch["from"], stretch["to"])]
    # a jump is told at the place itself, from its better side
    near = [sign * off for off in (1e-6, 1e-5, 1e-4, 1e-3, 0.02, 0.4, 0.8, 1.2) for sign in (-1.0, 1.0)]
    found += [at + d * ends for at in named if at is not None for d in near]
    found = np.unique(np.round(np.mod(found, length), 9))
    gap = np.min(np.abs(found[:, None] - block.outline.starts[None, :]), axis=1)
    return found[gap > hair / 2.0]


def window(stations, values, at, ends, length):
    """Least and most of the values within `ends` of a station."""
    off = np.abs(np.mod(stations - at + length / 2.0, length) - length / 2.0)
    near = values[:, off <= ends * 1.01]
    return (near[0].min(), near[1].max()) if near.size else (-math.inf, math.inf)


def compare_range(compared, what, where, got, stations, values, unit, length, places=True):
    """A range that was told: nothing lies beyond it, and it is reached where it says. `values` are least and most."""
    if "least" not in got:
        compared.hold(False, f"{what} {where}: absent")
        return
    tolerance, ends = VALUE[unit], ENDS[unit]
    compared.near(f"{what} beyond the least", got["least"], -math.inf, values[1].min(), tolerance, where)
    compared.near(f"{what} beyond the most", got["most"], values[0].max(), math.inf, tolerance, where)
    for end in ("least", "most"):
        at = got.get(f"{end}_at")
        if at is not None and places:
            compared.near(f"{what} at the {end}", got[end], *window(stations, values, at, ends, length), tolerance,
                          f"{where} at {at:.4f}")


def states_of(low, high, limits, none_below):
    """The states that a cut between two values may have."""
    light, heavy = limits.get("light_below", 0.0), limits.get("heavy_above", math.inf)
    found = set()
    if low < none_below:
        found.add("none")
    if high >= none_below and low < light:
        found.add("light")
    if high > heavy:
        found.add("heavy")
    if high >= max(light, none_below) and low <= heavy:
        found.add("full")
    return found


def compare_contact(compared, where, rows, stations, cuts, limits, unit, length):
    ends, tolerance, none = ENDS[unit], VALUE[unit], NONE_BELOW[unit]
    whole = bool(rows) and rows[0]["from"] == 0.0 and abs(rows[-1]["to"] - length) < tolerance
    whole = whole and all(a["to"] == b["from"] for a, b in zip(rows, rows[1:]))
    compared.hold(whole, f"contact {where}: a gap, an overlap or an end missing")
    starts = [row["from"] for row in rows]
    for station, low, high in zip(stations, *cuts):
        row = rows[max(0, int(np.searchsorted(starts, station, side="right")) - 1)]
        may = states_of(low - tolerance, high + tolerance, limits, none)
        if row["state"] not in may:
            low, high = window(stations, cuts, station, ends, length)
            may = states_of(low - tolerance, high + tolerance, limits, none)
        state = row["state"]
        compared.hold(state in may or state == "approach" and "none" in may,
                      f"contact {where}: {state} at {station:.4f}, where the cut is {low:.5f} to {high:.5f}")


def compare_wall(compared, block, proof, unit, rng):
    """The top of the undercut and the land, where the wall stands square to every way."""
    length, tolerance = block.outline.length, WALL[unit]
    for index, row in enumerate(proof["passes"]):
        lines, lands = row.get("undercut_line"), row.get("land")
        if lines is None:
            continue
        named = [line[end] for line in (lines, lands) for end in ("least_at", "most_at") if end in line]
        for station in [*named, *(rng.uniform(0.0, length) for _ in range(LOOKS))]:
            found = undercut(block, station % length, index + 1)
            for what, told, value in zip(("top of undercut", "land"), (lines, lands), found or ()):
                where = f"pass {index + 1} at {station:.4f}"
                compared.near(f"{what} beyond the least", told["least"], -math.inf, value, tolerance, where)
                compared.near(f"{what} beyond the most", told["most"], value, math.inf, tolerance, where)
                for end in ("least", "most"):
                    if told.get(f"{end}_at") == station:
                        compared.near(f"{what} at the {end}", told[end], value, value, tolerance, where)


def compare(seed, folder, invented, proof, binary):
    compared = Compared(seed)
    job = job_of(folder)
    unit = job["units"]
    block = Block(folder, job, SAG[unit])
    compared.hold(proof["verdict"] != "unproven", "the verdict is unproven")
    compare_findings(compared, invented, proof, job, block)
    compare_wall(compared, block, proof, unit, random.Random(seed))
    if "gauge" not in proof:  # what is told next to corners and over all heights is not there yet
        return compared
    stations = stations_of(block, proof, ENDS[unit])
    rays = Rays(block.outline, stations, 4.0 * block.unit)
    length = block.outline.length
    compared.near("outline length", proof["outline"]["length"], length, length, VALUE[unit])
    leaves = block.leaves(rays, job.get("gauge_height", proof["gauge"]["z"]))
    blank = proof["blank"]
    margin = leaves[0]
    compared.near("margin beyond the least", blank["least_margin"], -math.inf, margin[1].min(), VALUE[unit])
    compared.near("margin at the least", blank["least_margin"], *window(stations, margin, blank["least_margin_at"], ENDS[unit], length),
                  VALUE[unit], f"at {blank['least_margin_at']:.4f}")
    compare_short(compared, blank["short"], stations, margin, unit, length)
    for index, (given, row) in enumerate(zip(job["passes"], proof["passes"])):
        where = f"pass {index + 1}"
        if "allowance" in given:
            compare_range(compared, "stock left", where, row.get("leave", {}), stations, leaves[index + 1], unit, length)
    heights = block.heights()
    cuts = block.cuts(rays, heights)
    # where a wrong move ploughs through the block little is left to be nearest; its Stop is what counts
    ploughed = invented.wrong is not None and not invented.wrong.endswith("left out")
    rows = proof["passes"][:invented.wrong_pass if ploughed else len(proof["passes"])]

    def compare_cuts(compared, cuts):
        for index, row in enumerate(rows):
            if "contact" in row:
                where = f"pass {index + 1}"
                compare_range(compared, "cut", where, row["cut"], stations, cuts[index], unit, length)
                compare_contact(compared, where, row["contact"], stations, cuts[index], job.get("contact", {}), unit, length)

    trial = copy.deepcopy(compared)
    compare_cuts(trial, cuts)
    if len(trial.faults) == len(compared.faults):
        return trial
    compare_cuts(compared, block.closer(rays, heights, cuts))
    return compared


def within(station, row):
    """Whether a station, or which of them, lies in a stretch, which may go on past the first vertex."""
    after, before = station >= row["from"], station <= row["to"]
    return after & before if row["from"] <= row["to"] else after | before


def compare_short(compared, rows, stations, margin, unit, length):
    """Where the blank is short, and by how much."""
    ends, tolerance = ENDS[unit], VALUE[unit]
    for station, value in zip(stations, margin[0]):
        told = any(within(station, row) for row in rows)
        low, high = window(stations, margin, station, ends, length)
        compared.hold(low - tolerance < 0.0 if told else high + tolerance > 0.0,
                      f"short: {'told' if told else 'not told'} at {station:.4f}, where the margin is {value:.5f}")
    for row in rows:
        here = margin[1][within(stations, row)]
        if len(here):
            compared.near("metal to add, beyond the most", row["most"], -here.min(), math.inf, tolerance, f"at {row['from']:.4f}")


def neck_meets(job, block, index):
    """The area in which metal before a pass meets the neck over its cutting edges, next under the top of the blank."""
    tool = next(tool for tool in job["tools"] if tool["number"] == job["passes"][index]["tool"])
    end = block.passes[index].lowest() + tool.get("flute_length", math.inf)
    if tool["form"]["kind"] not in ("undercut", "silhouette") or end >= block.top:
        return 0.0
    height = (max(end, block.bottom) + block.top) / 2.0
    swept = block.passes[index].swept(height)[0]
    return swept.intersection(block.metal(height, index)).area if swept is not None else 0.0


def compare_findings(compared, invented, proof, job, block):
    stops = [found for found in proof["findings"] if found["severity"] == "stop"]
    names = [given["name"] for given in job["passes"]]
    told = lambda found: f"{found['code']} of pass {names.index(found['pass']) + 1 if 'pass' in found else '-'} line {found.get('line')}"
    if invented.wrong is None:
        # an invented undercutter may be too short where roughing has left a rim
        met = [name for index, name in enumerate(names) if neck_meets(job, block, index) > NECK_AREA[job["units"]]]
        by_neck = [found for found in stops if found["code"] == "shank-contact" and found.get("pass") in met]
        compared.hold(set(met) == {found["pass"] for found in by_neck}, f"metal meets the necks of {met}, not told")
        false = [told(found) for found in stops if found["code"] not in OF_THE_BLANK and found not in by_neck]
        compared.hold(not false, f"Stops without a wrong move: {false}")
        return
    if invented.wrong == "sides left out" and "gauge" not in proof:  # depth is not told along the outline yet
        return
    name = names[invented.wrong_pass]
    if invented.wrong.endswith("left out"):
        # sides gone along at the top of the blank are told as without contact
        codes = ("not-to-depth", "no-contact")
        found = [f for f in proof["findings"] if f["code"] in codes and f.get("pass") == name]
        compared.hold(found, f"{invented.wrong} in pass {invented.wrong_pass + 1}: no not-to-depth")
        return
    here = [f for f in stops if f.get("pass") == name and f.get("line") in invented.wrong_lines]
    compared.hold(here, f"{invented.wrong} in pass {invented.wrong_pass + 1}, lines {invented.wrong_lines}: "
                        f"no Stop there, but {[told(found) for found in stops]}")


def check(binary, job, cell):
    """What the tool says; with finer cells where a tool is too narrow for these."""
    run = subprocess.run([binary, "prove", str(job), "--json", "--cell", str(cell)], stdin=subprocess.DEVNULL,
                         capture_output=True, timeout=600, check=False)
    if run.returncode == 2 and b"is too coarse for this job" in run.stderr:
        return check(binary, job, cell * 0.8)
    if run.returncode not in (0, 1):
        raise Fault(f"exit status {run.returncode}: {run.stderr.decode(errors='replace').strip()}")
    return json.loads(run.stdout)


def one(task):
    """Makes, runs and compares the job of one seed; kept only where it fails."""
    seed, binary, keep, always = task
    spent = [time.process_time()]
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        faults, compared = [], Compared(seed)
        try:
            invented = invent(seed)
            invented.write(folder)
            proof = check(binary, folder / "job.json", CELL["mm" if invented.metric else "inch"])
            (folder / "result.json").write_text(json.dumps(proof, indent=1), encoding="utf-8")
            compared = compare(seed, folder, invented, proof, binary)
            faults = compared.faults
        except Fault as fault:
            faults = [str(fault)]
        except Exception:  # one bad job must not hide the others
            faults = [traceback.format_exc()]
        if faults or always:
            kept = keep / str(seed)
            shutil.rmtree(kept, ignore_errors=True)
            kept.parent.mkdir(parents=True, exist_ok=True)
            shutil.copytree(folder, kept)
            (kept / "faults.txt").write_text("\n".join(faults) + "\n", encoding="utf-8")
    return seed, faults, compared.worst, compared.count, time.process_time() - spent[0]


def main():
    parser = argparse.ArgumentParser(description="Invented jobs against sections of shapely.")
    parser.add_argument("binary")
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=0, help="the first seed")
    parser.add_argument("--only", type=int, help="this seed alone; its folder is kept")
    parser.add_argument("--keep", type=Path, default=Path("target/random"), help="where jobs that fail are kept")
    parser.add_argument("--processes", type=int, default=os.cpu_count())
    given = parser.parse_args()
    seeds = [given.only] if given.only is not None else range(given.seed, given.seed + given.count)
    tasks = [(seed, given.binary, given.keep, given.only is not None) for seed in seeds]
    worst, failed, count, spent = {}, 0, 0, 0.0
    with multiprocessing.Pool(given.processes) as pool:
        for seed, faults, off, compared, seconds in pool.imap_unordered(one, tasks):
            count, spent = count + compared, spent + seconds
            for what, row in off.items():
                worst[what] = max(worst.get(what, row), row)
            if faults:
                failed += 1
                print(f"FAILED  seed {seed}, kept in {given.keep / str(seed)}")
                for fault in faults[:4]:
                    print(f"        {fault}")
                if len(faults) > 4:
                    print(f"        and {len(faults) - 4} more")
                sys.stdout.flush()
        pool.close()
        pool.join()
    children = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(f"\nshapely {shapely.__version__}; {len(tasks)} jobs, {count} comparisons; {spent:.0f} s of processor time for "
          f"the sections, {children.ru_utime + children.ru_stime - spent:.0f} s for blockwright\n")
    print(f"{'worst difference in':<34} {'off':>10} {'of what is allowed':>19}  where")
    for what, (part, off, where) in sorted(worst.items()):
        print(f"{what:<34} {off:>10.6f} {100.0 * part:>17.1f} %  {where}")
    print(f"\n{len(tasks) - failed} jobs hold, {failed} do not")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
