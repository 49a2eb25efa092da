"""The published schema of the job file against the reader, by a validator of its own (jsonschema, draft 2020-12).

    python3 -B tests/live/check_schema.py target/debug/blockwright

Samples, the jobs of the tests and invented jobs must be good by both. Then every value of a job that has every key is
changed, taken out or joined by another: what the schema refuses the reader must refuse, and what the reader refuses for
its shape (an unknown key, a missing one, a value of another type) the schema must.
"""

import copy
import json
import pathlib
import re
import subprocess
import sys
import tempfile

import jsonschema

ROOT = pathlib.Path(__file__).resolve().parents[2]
SCHEMA = ROOT / "assets/job.schema.json"
WHOLE = ROOT / "crates/core/tests/jobs/whole.json"
# Put in place of every value in turn.
VALUES = [None, True, 7, 2, 0, -1, 1.5, 2e9, "text", "", " ", "1", [], {}, [1, 2], [1, 2, 3], [[1, 2]], {"kind": "flat"}]
# What the reader alone knows: it hangs by another value, or by the geometry. Nothing of shape is among it.
BETWEEN = [
    "there is already", "there is no tool", "no pass of this job", "this job has no", "is given twice", "measured twice",
    "must not be above", "must be below", "repeats the", "encloses no area", "make a line", "at least two",
    # of a tool's form
    "half the diameter", "come to a point", "only the tip itself", "the first point is the tip",
]
# A place in the job: only the reader of the job tells one.
PLACED = re.compile(r"line \d+, column \d+")
# So many files on one command line.
BATCH = 400


def places(value, way=()):
    """Every value below this one, with the way to it; of long lists the first and the last two."""
    yield way
    if isinstance(value, dict):
        for key, below in value.items():
            yield from places(below, (*way, key))
    elif isinstance(value, list):
        shown = range(len(value)) if len(value) <= 8 else [0, len(value) - 2, len(value) - 1]
        for index in shown:
            yield from places(value[index], (*way, index))


def changed(job, way, put):
    """A copy of the job after `put` has been at the list or object that the way leads into."""
    made = copy.deepcopy(job)
    above = made
    for step in way[:-1]:
        above = above[step]
    put(above, way[-1])
    return made


def spoiled(job, below):
    """(what was done, is it a matter of shape alone, the job), of what is below one of these keys."""
    for way in places(job):
        if way and way[0] not in below:
            continue
        name = "/".join(map(str, way)) or "the whole"
        here = job
        for step in way:
            here = here[step]
        if isinstance(here, dict):
            made = changed(job, (*way, "colour"), lambda above, key: above.__setitem__(key, 1))
            yield f"{name}: an unknown key", True, made
        if not way:
            continue
        if isinstance(way[-1], str):
            made = changed(job, way, lambda above, key: above.__delitem__(key))
            yield f"{name}: left out", False, made
        for value in VALUES:
            if value == here and type(value) is type(here):
                continue
            made = changed(job, way, lambda above, key, value=value: above.__setitem__(key, value))
            other = kind(value) != kind(here)
            yield f"{name}: {json.dumps(value)} for {json.dumps(here)[:40]}", other, made


def kind(value):
    if isinstance(value, bool) or value is None:
        return type(value)
    return float if isinstance(value, (int, float)) else type(value)


def read(binary, jobs):
    """What the reader says of each job: why it refuses it, or None."""
    said = []
    for first in range(0, len(jobs), BATCH):
        with tempfile.TemporaryDirectory() as folder:
            names = []
            for index, job in enumerate(jobs[first:first + BATCH]):
                # Two at least, so that each gets its line.
                name = f"{index}.json"
                (pathlib.Path(folder) / name).write_text(json.dumps(job), encoding="utf-8")
                names.append(name)
            names += names[:1]
            run = subprocess.run([binary, "check", "--json", *names], cwd=folder, capture_output=True, text=True,
                                 timeout=300, check=False)
            if run.returncode not in (0, 1, 2):
                sys.exit(f"exit status {run.returncode}: {run.stderr}")
            for line in run.stdout.splitlines()[:len(names) - 1]:
                why = json.loads(line).get("error", "")
                said.append(why if PLACED.search(why) else None)
    return said


def keys_of(schema, way=""):
    """Every key that the schema knows, with the keys above it."""
    for key, below in schema.get("properties", {}).items():
        yield f"{way}/{key}"
        yield from keys_of(below, f"{way}/{key}")
    for shape in schema.get("oneOf", []):
        yield from keys_of(shape, way)
    if "items" in schema and isinstance(schema["items"], dict):
        yield from keys_of(schema["items"], way)


def keys_in(job, way=""):
    if isinstance(job, dict):
        for key, below in job.items():
            yield f"{way}/{key}"
            yield from keys_in(below, f"{way}/{key}")
    elif isinstance(job, list):
        for below in job:
            yield from keys_in(below, way)


def shapes(whole):
    """The whole job, and the same with the other shapes of an outline and an edge; and below which keys to spoil it."""
    yield "every key", whole, list(whole)
    other = copy.deepcopy(whole)
    other["outline"] = {"from_pass": "Finish"}
    other["blank"]["edge"] = {"vertices": [[0, 0], [5, 0], [5, 4]]}
    yield "outline from a pass", other, ["outline", "blank"]
    other = copy.deepcopy(whole)
    other["outline"] = {"file": "outline.dxf", "layer": "SCRIBE", "units": "inch"}
    yield "outline from a file", other, ["outline"]


def good_jobs():
    for path in sorted((ROOT / "samples").glob("*/job.json")):
        yield str(path.relative_to(ROOT)), json.loads(path.read_text(encoding="utf-8"))
    # the jobs that the tests of the reader and of the whole begin with
    for path in [ROOT / "crates/core/tests/job_read.rs", ROOT / "tests/tests/limits.rs"]:
        for text in re.findall(r'r#"(\{ ?\n? *"schema": "blockwright-job/1".*?\})\s*"#', path.read_text("utf-8"), re.DOTALL):
            # where a long key is put in, it is a test of what is refused
            if '"KEY"' not in text:
                yield str(path.relative_to(ROOT)), json.loads(text)
    try:
        import generated
        import invent
    except ImportError as lacking:
        print(f"no invented jobs: {lacking}")
        return
    for name, (tools, passes) in generated.JOBS.items():
        yield f"generated {name}", generated.job(name, tools, passes)
    for seed in range(20):
        yield f"invented {seed}", invent.invent(seed).written()


def main():
    binary = str(pathlib.Path(sys.argv[1]).resolve())
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    printed = subprocess.run([binary, "schema"], capture_output=True, text=True, check=True).stdout
    faults = [] if json.loads(printed) == schema else ["`blockwright schema` prints another than is published"]
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    whole = json.loads(WHOLE.read_text(encoding="utf-8"))
    good = [*good_jobs(), *((name, job) for name, job, _ in shapes(whole))]
    if len(good) < 15:
        faults.append(f"only {len(good)} good jobs were found")
    for (name, job), why in zip(good, read(binary, [job for _, job in good])):
        faults += [f"{name}: the reader refuses it: {why}"] if why else []
        faults += [f"{name}: the schema refuses it: {error.message[:200]}" for error in validator.iter_errors(job)]
    known = set(keys_of(schema))
    shown = {key for _, job, _ in shapes(whole) for key in keys_in(job)}
    faults += [f"no job has the key {key}" for key in sorted(known - shown)]

    spoils = [spoil for _, job, below in shapes(whole) for spoil in spoiled(job, below)]
    refused = loose = 0
    for (what, of_shape, job), why in zip(spoils, read(binary, [job for *_, job in spoils])):
        valid = validator.is_valid(job)
        refused += not valid
        if not valid and why is None:
            faults.append(f"{what}: the schema alone refuses it")
        if valid and why is not None:
            between = any(words in why for words in BETWEEN)
            loose += between
            if of_shape or not between:
                faults.append(f"{what}: the reader alone refuses it: {why}")
    print(f"{len(good)} good jobs, {len(known)} keys; of {len(spoils)} spoiled jobs the schema refuses {refused}, "
          f"the reader alone {loose} for what hangs by another value")
    if refused < len(spoils) // 2:
        faults.append("so few are refused that something is not looked at")
    for fault in faults[:40]:
        print(f"FAULT {fault}")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
