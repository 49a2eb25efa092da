"""No socket but the display's and the session's: what a process has open, read from /proc while it runs.

    python3 -B tests/live/sockets.py --pid PID            # the window: local sockets, a few, none that waits for others
    python3 -B tests/live/sockets.py --run COMMAND...     # the command line: no socket at all, from start to end

With --run the command's own exit status may be 0 or 1.
"""

import os
import pathlib
import re
import subprocess
import sys
import time

LISTENING = 0x10000  # the flag of a waiting socket in /proc/net/unix
MOST = 4  # the display's connection, the session's bus, its helper for people who cannot see the screen, and its bus


def inodes(pid):
    found = set()
    for fd in pathlib.Path(f"/proc/{pid}/fd").iterdir():
        try:
            match = re.fullmatch(r"socket:\[(\d+)\]", os.readlink(fd))
        except FileNotFoundError:
            continue
        if match:
            found.add(match[1])
    return found


def faults_of(pid, most):
    own = inodes(pid)
    rows = {}
    for line in pathlib.Path(f"/proc/{pid}/net/unix").read_text().splitlines()[1:]:
        fields = line.split(maxsplit=7)
        rows[fields[6]] = int(fields[3], 16)
    faults = [f"socket {inode} is no local one" for inode in own if inode not in rows]
    faults += [f"socket {inode} waits for others" for inode in own if rows.get(inode, 0) & LISTENING]
    if len(own) > most:
        faults.append(f"{len(own)} sockets, at most {most} expected")
    return len(own), faults


def watched(command):
    """Looks again and again until the command ends."""
    looks, faults = 0, set()
    with subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL) as process:
        while process.poll() is None:
            try:
                _, found = faults_of(process.pid, 0)
                looks += 1
                faults.update(found)
            except (FileNotFoundError, ProcessLookupError, PermissionError):
                pass
            time.sleep(0.005)
    if process.returncode not in (0, 1):
        faults.add(f"{command[0]} ended with status {process.returncode}")
    if looks < 3:
        faults.add("it ended before it could be looked at")
    return looks, faults


def main():
    if sys.argv[1] == "--run":
        looks, faults = watched(sys.argv[2:])
        print(f"{' '.join(sys.argv[2:])}: {looks} looks")
    else:
        count, faults = faults_of(int(sys.argv[2]), MOST)
        print(f"process {sys.argv[2]}: {count} local sockets")
    for fault in sorted(faults):
        print(fault)
    return 1 if faults else 0


sys.exit(main())
