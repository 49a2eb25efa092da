#!/usr/bin/env python3
"""Kill `blockwright` at each call by which it changes a file or folder, one after the other.

    python3 tests/live/check_kills.py PATH_TO_blockwright             # at each call, some minutes
    python3 tests/live/check_kills.py PATH_TO_blockwright --every 9

For every command that writes: strace ends the process as it makes its first call that opens, writes, syncs, renames,
locks or removes, then its second, and so on, until a run comes through whole. After each kill every target is as it was
before or as a whole run leaves it, every file that the command reads is untouched, and after the next whole run no
temporary file is left.

Needs: python3, strace, and leave to trace a process. Exit status: 0 all holds, 1 something does not, 77 strace cannot
be used here.
"""

import argparse
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

CALLS = "openat,creat,write,pwrite64,writev,fsync,fdatasync,ftruncate,rename,renameat,renameat2,linkat,unlink,unlinkat," \
        "mkdir,mkdirat,fchmod,fchown,flock,copy_file_range,sendfile"
LINE = re.compile(r"(\d+) +(\w+)\(")
SAMPLE = "round-puck"


def commands(folder):
    """Name and arguments of every command that writes."""
    at = lambda name: str(folder / SAMPLE / name)
    out = lambda words, target: [*words, "-o", at(target), "--replace"]
    yield "air", out(["air", at("3001.nc"), "--above", ".1", "--job", at("job.json")], "3001-air.nc")
    yield "prepare", out(["prepare", at("3001.nc"), "--number", "77", "--job", at("job.json")], "77.nc")
    yield "fit", out(["fit", at("job.json")], "moved.json")
    yield "picture", out(["picture", at("job.json"), "--view", "strip"], "strip.png")
    yield "job", out(["job", at("3001.nc"), at("3002.nc")], "suggested.json")
    yield "sheet", ["sheet", at("job.json"), "-o", at("record"), "--replace", "--no-pictures"]
    yield "demo", ["demo", at("demo")]


def files(folder):
    """Every file below a folder with its bytes, temporary ones apart."""
    whole, temporary = {}, []
    for path in sorted(folder.rglob("*")):
        if path.is_file():
            if path.name.startswith(".blockwright-"):
                temporary.append(path)
            else:
                whole[path.relative_to(folder)] = path.read_bytes()
    return whole, temporary


def run(words, kill=None):
    """Runs a command, ended as a thread makes its nth call of a name. Gives back whether it was ended, and its exit status."""
    if kill is not None:
        words = ["strace", "-f", "-qq", "-o", "/dev/null", "-e", f"trace={kill[0]}",
                 "-e", f"inject={kill[0]}:signal=SIGKILL:when={kill[1]}", *words]
    done = subprocess.run(words, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)
    return done.returncode in (-9, 137), done.returncode


def calls_in(folder, words):
    """The calls of a whole run on anything below the folder: name, and how many of that name its thread has made by then."""
    with tempfile.NamedTemporaryFile() as log:
        run(["strace", "-f", "-y", "-qq", "-o", log.name, "-e", f"trace={CALLS}", *words])
        counts, found = {}, []
        for line in Path(log.name).read_text(errors="replace").splitlines():
            call = LINE.match(line)
            if call:
                counts[call.groups()] = counts.get(call.groups(), 0) + 1
                if str(folder) in line:
                    found.append((call[2], counts[call.groups()]))
    return sorted(set(found))


def main():
    parser = argparse.ArgumentParser(description="Kills at each call that changes a file.")
    parser.add_argument("binary")
    parser.add_argument("--every", type=int, default=1, help="kill at every so many calls only")
    parser.add_argument("--samples", type=Path, default=Path(__file__).parents[2] / "samples")
    given = parser.parse_args()
    if not shutil.which("strace") or not run([given.binary, "--version"], ("write", 1))[0]:
        print("strace cannot end a process here")
        return 77
    faults, kills = [], 0
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        shutil.copytree(given.samples / SAMPLE, folder / SAMPLE)
        for name, words in commands(folder):
            words = [given.binary, *words]
            before, _ = files(folder)
            _, status = run(words)
            if status not in (0, 1):
                faults.append(f"{name}: a whole run ends with status {status}")
                continue
            after, left = files(folder)
            if left:
                faults.append(f"{name}: a whole run leaves {left}")
            new = {path: text for path, text in after.items() if before.get(path) != text}
            # an older file of the same kind, as far as can be told from the new one; the demo writes over nothing
            older = {path: text + b"\n" for path, text in new.items()} if "--replace" in words else {}
            for old in ({}, older) if older else ({},):
                made = kill_each(folder, words, {**before, **old}, after, given.every, faults)
                print(f"{name:<8} {len(new):>3} files written, {len(old):>3} of them there before, killed {made} times")
                sys.stdout.flush()
                kills += made
            restore(folder, before, after)
    for fault in faults[:20]:
        print(f"FAILED  {fault}")
    print(f"{kills} kills, {len(faults)} faults")
    return 1 if faults or not kills else 0


def kill_each(folder, words, before, after, every, faults):
    """Kills a command at every so many of its calls; what it makes of `before` when nobody stops it is `after`."""
    name, kills = words[1], 0
    restore(folder, before, after)
    for kill in calls_in(folder, words)[::every]:
        restore(folder, before, after)
        ended, _ = run(words, kill)
        kills += ended
        now, _ = files(folder)
        for path in {*now, *before}:
            if now.get(path) not in (before.get(path), after.get(path)):
                faults.append(f"{name}, ended at {kill[0]} {kill[1]}: {path} is neither old nor new")
    restore(folder, before, after)
    run(words)
    now, left = files(folder)
    if left:
        faults.append(f"{name}: after {kills} kills and a whole run {len(left)} temporary files are left")
    if now != after:
        faults.append(f"{name}: after {kills} kills a whole run makes something else")
    return kills


def restore(folder, before, after):
    """The folder as it was before the command, but for temporary files of killed runs: they are the next run's to clear."""
    for path in after:
        if path not in before:
            (folder / path).unlink(missing_ok=True)
    for path, text in before.items():
        if not (folder / path).is_file() or (folder / path).read_bytes() != text:
            (folder / path).write_bytes(text)


if __name__ == "__main__":
    sys.exit(main())
