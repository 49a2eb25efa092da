#!/usr/bin/env python3
"""Print the page of the record by a browser, without a network, and look at every sheet.

    python3 tests/live/check_print.py PATH_TO_blockwright [--keep FOLDER] [SAMPLE ...]

For every samples/*/job.json (or those named) the record's page is printed by Chromium at Letter and at A4 and read back
with poppler: the paper's size; on every sheet its number out of how many, the job's name and the cautions; nothing set
beyond the margins. With --keep the documents stay, and a picture of every sheet.

Needs: python3, chromium, and pdftotext, pdfinfo and pdftoppm of poppler. Exit status: 0 all hold, 1 at least one does not,
3 there is no Chromium here.
"""

import json
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
from pathlib import Path

SAMPLES = Path(__file__).resolve().parents[2] / "samples"
PAPER = {"Letter": (612.0, 792.0), "A4": (595.28, 841.89)}  # points
EDGE = 30.0  # points: nothing is set nearer to the paper's edge; the margin is 12 mm, 34 points
XHTML = "{http://www.w3.org/1999/xhtml}"
BROWSERS = ("chromium", "chromium-browser")


def browser():
    return next((found for found in map(shutil.which, BROWSERS) if found), None)


def printed(chromium, page, size, target, profile):
    """The page as a document on this paper; nothing resolves, so nothing can be fetched."""
    copy = target.with_suffix(".html")
    text = page.read_text(encoding="utf-8")
    copy.write_text(text.replace("@page{margin", f"@page{{size:{size};margin", 1), encoding="utf-8")
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={profile}",
               "--no-pdf-header-footer", "--host-resolver-rules=MAP * ~NOTFOUND", "--proxy-server=127.0.0.1:9",
               f"--print-to-pdf={target}", copy.as_uri()]
    done = subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=120)
    if done.returncode or not target.exists():
        raise RuntimeError(f"Chromium printed nothing, status {done.returncode}: {done.stderr[-600:]}")
    copy.unlink()


def read(*args):
    return subprocess.run(args, capture_output=True, text=True, check=True).stdout


class Tally:
    def __init__(self):
        self.passed = self.failed = 0

    def hold(self, where, what, good, more=""):
        self.passed += bool(good)
        self.failed += not good
        if not good:
            print(f"FAILED {where}: {what} {more}")


def look(where, pdf, size, name, tally):
    wide, high = PAPER[size]
    told = re.search(r"Page size:\s+([\d.]+) x ([\d.]+)", read("pdfinfo", str(pdf)))
    tally.hold(where, "its paper", told and abs(float(told[1]) - wide) < 1 and abs(float(told[2]) - high) < 1, told and told[0])
    sheets = read("pdftotext", "-layout", str(pdf), "-").split("\f")[:-1]
    boxes = ET.fromstring(re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f]", "", read("pdftotext", "-bbox", str(pdf), "-")))
    pages = list(boxes.iter(XHTML + "page"))
    for number, (sheet, page) in enumerate(zip(sheets, pages), 1):
        here, words = f"{where}, sheet {number}", " ".join(sheet.split())
        tally.hold(here, "its number", f"{number} of {len(sheets)}" in words)
        tally.hold(here, "job and cautions", name[:30] in words and "hand on feed hold" in words)
        ends = [(float(w.get("xMin")), float(w.get("yMin")), float(w.get("xMax")), float(w.get("yMax")))
                for w in page.iter(XHTML + "word")]
        inside = all(x0 > EDGE and y0 > EDGE - 10 and x1 < wide - EDGE and y1 < high - EDGE / 2 for x0, y0, x1, y1 in ends)
        tally.hold(here, "within the margins", inside, [e for e in ends if e[0] <= EDGE or e[2] >= wide - EDGE][:3])
    return len(sheets)


def main():
    arguments = sys.argv[1:]
    keep = None
    if "--keep" in arguments:
        at = arguments.index("--keep")
        keep = Path(arguments[at + 1])
        keep.mkdir(parents=True, exist_ok=True)
        del arguments[at:at + 2]
    if not arguments:
        print(__doc__.splitlines()[2].strip(), file=sys.stderr)
        return 2
    chromium = browser()
    if chromium is None:
        print("there is no Chromium here", file=sys.stderr)
        return 3
    binary, only, tally = arguments[0], set(arguments[1:]), Tally()
    with tempfile.TemporaryDirectory() as place:
        place = Path(place)
        for folder in sorted(path.parent for path in SAMPLES.glob("*/job.json")):
            if only and folder.name not in only:
                continue
            job = json.loads((folder / "job.json").read_text(encoding="utf-8"))
            cell = 0.03 if job["units"] == "inch" else 0.8
            subprocess.run([binary, "sheet", folder / "job.json", "-o", place / folder.name, "--no-pictures", "--cell", str(cell)],
                           capture_output=True, stdin=subprocess.DEVNULL, check=False)
            counts = []
            for size in PAPER:
                target = (keep or place) / f"{folder.name}-{size}.pdf"
                printed(chromium, place / folder.name / "record.html", size, target, place / "profile")
                counts.append(look(f"{folder.name}, {size}", target, size, job["name"], tally))
                if keep:
                    subprocess.run(["pdftoppm", "-r", "70", "-png", target, target.with_suffix("")], check=True)
            print(f"{folder.name}: {counts[0]} sheets of Letter, {counts[1]} of A4", flush=True)
    print(f"{tally.passed} passed, {tally.failed} failed")
    return 1 if tally.failed else 0


if __name__ == "__main__":
    sys.exit(main())
