"""The libraries that the binary is made of: licences against a list of those that may be used, sources against the one
registry, and THIRD-PARTY.md against what `cargo metadata` says.

    python3 -B tests/live/licences.py            # checks
    python3 -B tests/live/licences.py --write    # writes THIRD-PARTY.md anew
"""

import json
import pathlib
import re
import subprocess
import sys

ROOT = pathlib.Path(__file__).resolve().parents[2]
LIST = ROOT / "THIRD-PARTY.md"
# Permissive licences: a notice is all that they ask for.
ALLOWED = {
    "0BSD", "Apache-2.0", "Apache-2.0 WITH LLVM-exception", "BSD-2-Clause", "BSD-3-Clause", "BSL-1.0", "ISC", "MIT",
    "Unicode-3.0", "Unlicense", "Zlib",
}
REGISTRY = "registry+https://github.com/rust-lang/crates.io-index"
OWN = {"blockwright", "blockwright-core", "blockwright-tests"}
# Kept though its author has archived it, and why.
UNMAINTAINED = {
    "paste": "joins names while `pulp` is compiled; no code of it is in the binary, and it reads nothing but `pulp`'s own text",
}


def allowed(expression):
    """Whether a licence expression (SPDX; `/` is an older way to write OR) can be met by the allowed licences alone."""
    tokens = re.findall(r"\(|\)|AND|OR|[\w.+-]+(?: WITH [\w.+-]+)?", expression.replace("/", " OR "))

    def either():
        met = both()
        while tokens and tokens[0] == "OR":
            tokens.pop(0)
            met = both() or met
        return met

    def both():
        met = one()
        while tokens and tokens[0] == "AND":
            tokens.pop(0)
            met = one() and met
        return met

    def one():
        token = tokens.pop(0)
        if token != "(":
            return token in ALLOWED
        met = either()
        tokens.pop(0)
        return met

    return either()


def shipped(metadata):
    """Packages that are compiled into the binary or run while it is built, on any system."""
    nodes = {node["id"]: node for node in metadata["resolve"]["nodes"]}
    packages = {package["id"]: package for package in metadata["packages"]}
    todo = [id for id, package in packages.items() if package["name"] == "blockwright"]
    seen = set(todo)
    while todo:
        for dep in nodes[todo.pop()]["deps"]:
            if any(kind["kind"] != "dev" for kind in dep["dep_kinds"]) and dep["pkg"] not in seen:
                seen.add(dep["pkg"])
                todo.append(dep["pkg"])
    found = [packages[id] for id in seen if packages[id]["name"] not in OWN]
    return sorted(found, key=lambda package: (package["name"], package["version"]))


def text_of(packages):
    lines = [
        "# Libraries of other people",
        "",
        "What the binary `blockwright` is made of on any system, from `cargo metadata`; written by",
        "`python3 -B tests/live/licences.py --write`, and checked by the same without `--write`. The texts of the licences come",
        "with each library's source. The fonts' license is in `assets/fonts/LICENCE.txt`.",
        "",
        "| library | version | license |",
        "|---|---|---|",
    ]
    lines += [f"| {package['name']} | {package['version']} | {package['license']} |" for package in packages]
    kept = [f"- `{name}` is no longer maintained: {why}." for name, why in UNMAINTAINED.items()]
    return "\n".join(lines + ["", *kept, ""])


def main():
    for expression, met in [
        ("MIT OR Apache-2.0", True), ("MIT/Apache-2.0", True), ("GPL-3.0-only", False), ("MIT AND GPL-2.0-only", False),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", True), ("Apache-2.0 OR GPL-2.0-only", True),
        ("Apache-2.0 WITH LLVM-exception", True),
    ]:
        assert allowed(expression) == met, expression
    command = ["cargo", "metadata", "--format-version", "1", "--locked"]
    metadata = json.loads(subprocess.run(command, cwd=ROOT, check=True, stdout=subprocess.PIPE).stdout)
    faults = []
    for package in metadata["packages"]:
        if package["name"] in OWN:
            continue
        name = f"{package['name']} {package['version']}"
        if package["source"] != REGISTRY:
            faults.append(f"{name} comes from {package['source']}")
        if not package["license"] or not allowed(package["license"]):
            faults.append(f"{name} has the license {package['license']}")
    packages = shipped(metadata)
    gone = set(UNMAINTAINED) - {package["name"] for package in packages}
    faults += [f"{name} is gone: take it from the list of what is kept" for name in gone]
    if "--write" in sys.argv:
        LIST.write_text(text_of(packages), encoding="utf-8")
    elif not LIST.exists() or LIST.read_text(encoding="utf-8") != text_of(packages):
        faults.append("THIRD-PARTY.md is not what cargo metadata says: write it anew with --write, and look at what changed")
    for fault in faults:
        print(fault)
    print(f"{len(packages)} libraries in the binary, {len(metadata['packages']) - len(OWN)} in all, {len(faults)} faults")
    return 1 if faults else 0


sys.exit(main())
