#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The pictures of the demo in docs/pictures are those that the commands make.

Where the fonts are the same, they are the same to the byte; with other fonts words are a little
wider or narrower, and then each shape must stand within a few points of where it was, and the words
must be the same. After a change that is meant, make them anew with

    python3 tests/cli/pictures.py build/src/cli/perpend . --write
"""
import pathlib
import re
import sys
import tempfile
import xml.etree.ElementTree

import tap

PICTURES = tap.ROOT / "docs" / "pictures"
EXAMPLES = tap.ROOT / "examples"
COMMANDS = {
    "tern-as-found.svg": ["solve", "examples/tern.yaml", "examples/tern-as-found.yaml"],
    "tern-evening.svg": ["solve", "examples/tern.yaml", "examples/tern-evening.yaml"],
    "tern-chart.svg": ["ridge", "--machine", "examples/tern.yaml", "--lean-back", "6.67"],
}
NEAR = 14  # pt; what another font may shift a shape by
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


def shapes(root):
    """Every mark but words: its kind and classes, and its numbers."""
    for mark in root.iter():
        kind = mark.tag.rpartition("}")[2]
        if kind in ("path", "circle", "rect"):
            numbers = [float(n) for name in ("d", "cx", "cy", "r", "x", "y")
                       for n in NUMBER.findall(mark.get(name, ""))]
            yield kind, mark.get("class"), numbers


def words(root):
    return re.sub(r"\s", "", "".join(mark.text or "" for mark in root.iter()
                                     if mark.tag.endswith("}text")))


def apart(old, new):
    """What tells two pictures apart; None when nothing but the fonts does."""
    old_root, new_root = (xml.etree.ElementTree.fromstring(text) for text in (old, new))
    if words(old_root) != words(new_root):
        return f"words: {words(old_root)!r} is now {words(new_root)!r}"
    old_shapes, new_shapes = list(shapes(old_root)), list(shapes(new_root))
    if [s[:2] for s in old_shapes] != [s[:2] for s in new_shapes]:
        return "other shapes"
    for (kind, _, before), (_, _, after) in zip(old_shapes, new_shapes):
        if len(before) != len(after):
            return f"a {kind} of {len(after)} numbers, not {len(before)}"
        far = [abs(a - b) for a, b in zip(before, after) if abs(a - b) > NEAR]
        if far:
            return f"a {kind} has moved by {max(far):.1f}"
    return None


def main():
    t = tap.Tap()
    t.equal(sorted(path.name for path in PICTURES.iterdir()), sorted(COMMANDS),
            "each picture in docs has its command")
    with tempfile.TemporaryDirectory() as folder:
        for name, command in COMMANDS.items():
            path = pathlib.Path(folder) / name
            run = tap.perpend(*command, "--picture", str(path), cwd=tap.ROOT)
            if not t.ok(run.err == "" and path.exists(), f"{name}: made", run.err):
                continue
            new, kept = path.read_text(encoding="utf-8"), PICTURES / name
            if "--write" in sys.argv[3:]:
                kept.write_text(new, encoding="utf-8")
            old = kept.read_text(encoding="utf-8")
            difference = None if old == new else apart(old, new)
            t.ok(difference is None, f"{name}: is the one in docs", difference)
            if old != new:
                print(f"# {name}: with other fonts")
            wider = re.sub(r'(<path[^>]* d="M)(\d+)', lambda m: m[1] + str(int(m[2]) + 30), old, count=1)
            t.ok(apart(old, wider) is not None, f"{name}: a line elsewhere would be noticed")
            other = re.sub(r">(\d)(\d*\.?\d*)</text>", ">9\\2</text>", old, count=1)
            t.ok(apart(old, other) is not None, f"{name}: another number would be noticed")
    for page in (tap.ROOT / "README.md", *sorted((tap.ROOT / "docs").glob("*.md"))):
        for target in re.findall(r"!\[[^\]]*\]\(([^)]+)\)", page.read_text(encoding="utf-8")):
            t.ok((page.parent / target).is_file(), f"{page.name}: {target} is there")
    t.done()


main()
