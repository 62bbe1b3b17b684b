#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What the pages show is what the program prints: every console block that runs perpend.

A block opens with ```console; a line "$ perpend ..." in it is run at the top folder, in UTF-8 and
80 columns, and the lines under it must be its output, both streams. A block that only shows shell
commands without output is opened with ```sh. After a change that is meant, write the pages anew with

    python3 tests/cli/readme.py build/src/cli/perpend . --write
"""
import os
import pathlib
import re
import subprocess
import sys
import tempfile

import tap

t = tap.Tap()
pages = [tap.ROOT / "README.md", *sorted((tap.ROOT / "docs").glob("*.md"))]


BLOCK = re.compile(r"(?<=^```console\n)(.*?)(?=^```$)", re.MULTILINE | re.DOTALL)


def commands(block):
    """Pairs of a command line and the text under it; a backslash at a line's end goes on."""
    pairs = []
    for line in block.splitlines():
        if line.startswith("$ "):
            pairs.append([line, []])
        elif pairs and pairs[-1][0].endswith("\\"):
            pairs[-1][0] += "\n" + line
        elif pairs:
            pairs[-1][1].append(line)
    return pairs


def printed(line, path):
    """What the command prints, without empty lines at its end."""
    run = subprocess.run(["sh", "-c", line[2:].replace("\n> ", "\n")], cwd=tap.ROOT,
                         stdin=subprocess.DEVNULL, stdout=subprocess.PIPE,
                         stderr=subprocess.STDOUT, check=False, timeout=60,
                         env=tap.environment(PATH=path, COLUMNS=80))
    return run.stdout.decode("utf-8").rstrip("\n").split("\n")


def check(page, block, path):
    """Check the commands of one block; the block as it should be."""
    lines = []
    for line, want in commands(block):
        while want and want[-1] == "":
            want.pop()
        got = printed(line, path)
        lines += [line, *got]
        t.ok(got == want, f"{page.name}: {line.splitlines()[0]}",
             "prints:\n" + "\n".join(got) + "\npage:\n" + "\n".join(want))
    return "\n".join(lines) + "\n"


with tempfile.TemporaryDirectory() as folder:
    os.symlink(tap.PERPEND, pathlib.Path(folder) / "perpend")
    search = folder + ":" + os.environ.get("PATH", "/usr/bin:/bin")
    for file in pages:
        text = file.read_text(encoding="utf-8")
        anew = BLOCK.sub(lambda found, file=file: check(file, found.group(1), search), text)
        if "--write" in sys.argv:
            file.write_text(anew, encoding="utf-8")
t.ok(t.count > 0, "there are console blocks to check")
t.done()
