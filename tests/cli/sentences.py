#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Every sentence of src/text/sentences is well formed, has a sample for each of its slots and is said
somewhere; docs/words.md shows them all. `--write` behind the command and the folder writes that page."""
import re
import sys

import tap

t = tap.Tap()
PAGE = tap.ROOT / "docs/words.md"
TOPICS = {"answer": "The answer", "plan": "The plan", "ridge": "A ridge without readings",
          "board": "The board", "drift": "The time between jobs", "picture": "Pictures", "record": "The record", "gauge": "Kinds of gauge",
          "session": "A session at the machine"}
COMMANDS = {"session": "src/cli/sweep/sentences.inc"}  # a command's own stand with it
LITERAL = re.compile(r'"((?:\\.|[^"\\])*)"')
ENTRY = re.compile(r'SENTENCE\(\s*(\w+),((?:\s*"(?:\\.|[^"\\])*")+)\s*\)|/\* (.*?) \*/', re.DOTALL)

# What stands in a slot, by its name: as the program would say it.
SAMPLES = {
    "higher": "back", "measured": "0.2 mm", "half": "2.75 mm",
    "came": "1.2 mm/m", "asked": "6.7 mm/m", "across": "6.1 mm/m",
    "advised": "shim +0.53 mm", "all": "10", "agree": "0.12 mm", "allowed": "0.10 mm", "along_x": "0.067 mm",
    "along_y": "0.001 mm", "angle": "15", "apart": "0.20", "arm": "115 mm", "at": "back",
    "axis": "X", "back": "6.67 mm/m", "bare_back": "0.0 ± 0.4", "bare_right": "0.0 ± 0.4",
    "bearing": "the back", "bed": "Apart from that the bed …", "bed_back": "0.1 ± 0.4 mm/m",
    "bed_lean_back": "0.9 ± 0.4 mm/m", "bed_lean_right": "0.1 ± 0.4 mm/m",
    "bed_right": "0.0 ± 0.4 mm/m", "best": "0.001 mm", "bit": "22 mm", "bolt": "top left",
    "bolts": "0.20 mm at bottom left and bottom right", "can": "0.1 mm", "cans": "3",
    "doubt": "back-right: 0.30 looks wrong; about 0.15 expected", "expected": "0.15", "list": "front 1.00 (+0.012)",
    "example": "20", "file": "plan-1-1.txt", "steps": "2, 3", "value": "20", "suspect": "back-right",
    "words": "other, nothing, add, end, more",
    "chance": "about 80 chances in 100", "change": "6.55 mm/m toward the front",
    "common": "0.5 mm", "corner": "1 mm",
    "cost": "the lean still shows in deep cuts and drilled holes, 0.07 mm per 10 mm of depth.",
    "count": "4", "day": "2026-05-04", "degrees": "90", "depth": "0.1 mm", "difference": "0.12 mm",
    "digest": "9f86d081…", "done": "shim +0.50 mm", "ending": " to 19:55", "even": "1.00",
    "explained": "0.40 mm/m", "facing": "along X", "far": "2.00 mm", "feed": "Y",
    "first": "the front", "first_name": "as found", "foils": "33",
    "found": "6.67 mm/m toward the back", "fourth": "the right", "front_back": "0.15",
    "goes": "0.25", "stays_out": "0.30", "grows": "0.33 mm", "raise": "0.50 mm", "rim": "0.33 mm",
    "gauge": "0.02 mm", "gauge_step": "0.05 mm", "gets": "0.55 mm: 11 × 0.05 mm brass",
    "goal": "0.02 mm", "high": "1.00 mm", "hole": "5.5 mm", "identity": "perpend-job-9f86d081",
    "job": "job 3 (2026-05-04)", "job_number": "3", "joint": "clamp plate", "kind": "crash",
    "known": "1.00", "leaf": "brass", "lean": "6.7 ± 0.4 mm/m", "lean_back": "6.7 ± 0.4 mm/m",
    "lean_right": "1.2 ± 0.4 mm/m", "inside": "top left 0.50 mm", "leaves": "11", "name": "drink can",
    "shim": "0.50 mm", "left": "0.12 mm/m toward the right",
    "left_right": "0.00", "length": "80 mm", "limit": "0.11", "log": " --log log.sqlite",
    "loose": "top left and top right", "low": "0.50 mm", "machine": "Tern", "more": "1.20 mm",
    "moved": "0.21 mm right", "moves": "shim, slide", "not_feed": "X", "note": "ran into a clamp",
    "notes": "a crash (2026-05-04): ran into a clamp", "now": "0.00", "number": "3", "odd": "1.20",
    "of": "the two files", "off": "0.07 mm", "other": "0.35", "other_feed": "Y",
    "other_first": "0.008 mm", "other_second": "0.001 mm", "others": "nothing, more or end",
    "out": "0.20 mm", "path": "log.sqlite", "percent": "0.5", "pivot": "bottom left",
    "place": "2", "places": "2", "play": "0.50 mm", "ra": "0.0167 mm", "reach": "0.55", "reading": "0.25",
    "reading_count": "2", "readings": "0.25 all round",
    "remedies": "a gauge that reads to 0.02 mm; or an arm of 115 mm", "repeats": "6",
    "residual": "0.013 mm", "ridge": "0.067 mm (0.061 to 0.069)", "ridges": "0.067, now 0.008 mm",
    "right": "1.20 mm/m", "rise": "0.15 mm", "said": "good enough", "second": "the left",
    "second_name": "as left", "seen": "seen from the front",
    "shallow": "A cut of 0.1 mm is too shallow for this lean: …", "share": "30", "side": "front",
    "signed_turns": "-0.250", "size": "0.55 mm", "slid": "0.25 mm right", "small": "mm", "spot": "place 2 (X 200, Y 8), ",
    "snug": "bottom left and bottom right", "spread": "0.02 mm", "stack": "11 × 0.05 mm brass",
    "stated": "0.2 mm", "step": "0.02 mm", "stepover": "10 mm", "stock": "30 × 0.05 mm brass",
    "sweep": "place 2", "sweep_count": "2", "sweeps": "as found", "thick": "0.05 mm",
    "third": "the back", "thread": "5 mm", "tight": "0.50", "times": "1.8",
    "tip": "0.25 mm forward and 0.03 up", "toward": "the back", "turned": "2.0", "turns": "0.25", "typed": "12",
    "undo": "undo 2", "unit": "mm/m", "up": "210 mm", "verdict": "not met", "version": "1.0",
    "wanted": "0.53 mm", "when": "2026-05-04 09:08", "where": "the right", "who": "A. Oarsman",
    "why": "the disk is full", "width": "14.7 mm", "with": "0.020 mm", "without": "0.011 mm",
    "step_unit": "mm", "temperature": "9 °C", "last": "0.50", "large": "mm", "clock": "19:12", "cut": "; test cut the back higher by 0.08",
    "then": "shim +0.50 mm at top left, top right.", "least": "0.10", "most": "1.10", "named": "M5", "jobs": "10",
    "weeks": "26", "empty": "", "got": "shim +0.50 mm", "cells": "1.00 0.50 0.00 0.50", "slope": "mm/m",
    "due": "Saturday 29 May 2027", "heads": "front right back left", "used": "5 × 0.1 mm drink can",
    "word": "kept", "wide": "400 mm", "deep": "430 mm", "metal_x": "50 mm", "metal_y": "60 mm", "suspect_x": "200 mm",
    "suspect_y": "120 mm", "passes": "4", "waves": "0.04 mm", "below": "0.06 mm", "flatness": "0.13 mm",
    "top_x": "110 mm", "top_y": "20 mm", "bottom_x": "20 mm", "bottom_y": "400 mm", "even": "0.66 mm", "pass": "1", "share": "67",
    "stays": "17 mm", "thickness": "18 mm", "open": "{", "close": "}", "slope_right": "-0.42",
    "slope_back": "1.17", "slope_sure": "0.124", "flat": "0.042", "hours": "1", "minutes": "33", "path": "46",
    "from_x": "-11 mm", "to_x": "411 mm", "from_y": "0 mm", "to_y": "430 mm", "speed": "12000", "rim": "13.8",
    "most": "25 mm", "under": "6 mm", "sure": "0.72 mm", "over": "0.07 mm", "along": "Y", "front": "12 mm", "left": "3 mm", "right": "3 mm", "back": "12 mm", "deepest": "0.65 mm", "x": "200.0", "y": "150.0"
}


def parts(text, ends):
    """`text` cut at each of `ends` that stands outside further braces."""
    found, depth = [""], 0
    for c in text:
        if depth == 0 and c in ends:
            found.append("")
            continue
        depth += (c == "{") - (c == "}")
        found[-1] += c
    return found


def shown(sentence, unknown):
    """The sentence with samples in its slots: [what may be said], [this / or that]."""
    out = ""
    while sentence:
        plain, brace, rest = sentence.partition("{")
        out += plain
        if not brace:
            break
        inside = parts(rest, "}")[0]
        sentence = rest[len(inside) + 1:]
        name, *choices = parts(inside, "|")
        if not choices:
            unknown.add(name) if SAMPLES.get(name) is None else None
            out += SAMPLES.get(name) or "…"
        else:
            said = [shown(choice, unknown) for choice in choices]
            out += "[" + " / ".join(said) + "]"
    return re.sub(r"\\n *|\\t| *~", " ", out)


page = ["# What perpend says", "",
        "Every sentence about an answer, a plan, a ridge and the time between jobs, with sample values,",
        "made from `src/text/sentences` by `tests/cli/sentences.py --write`. In brackets stands what is",
        "said in some cases only, or one of several things.", "",
        *(f"- [{title}](#{title.lower().replace(' ', '-')})" for title in TOPICS.values()), ""]
names, unknown, unbalanced = [], set(), []
for topic, title in TOPICS.items():
    page += [f"## {title}", ""]
    text = (tap.ROOT / COMMANDS.get(topic, f"src/text/sentences/{topic}.inc")).read_text(encoding="utf-8")
    for name, literals, comment in ENTRY.findall(text):
        if comment:
            if "SPDX" not in comment and "sentences.h" not in comment:
                page += ["" if page[-1].startswith("-") else None, f"### {comment}", ""]
            continue
        sentence = "".join(LITERAL.findall(literals))
        names.append(name)
        if len(parts(sentence, "")[0]) != len(sentence) or sentence.count("{") != sentence.count("}"):
            unbalanced.append(name)
        if topic == "record":  # its lines, without the signs that say what they are
            sentence = re.sub(r"(^|\\n)[%#!+=^:_|>-]+( |(?=\\n))", r"\1", sentence)
            sentence = sentence.replace(r"\n", "<br>").replace(r"\t", " · ").removeprefix("<br>")
        page.append(f"- {shown(sentence, unknown)}")
    page.append("")
page = "\n".join(line for line in page if line is not None)
code = "".join(path.read_text(encoding="utf-8") for path in sorted((tap.ROOT / "src").rglob("*.c")))
if sys.argv[3:] == ["--write"]:
    PAGE.write_text(page, encoding="utf-8")
    sys.exit(0)
kinds = len(re.findall(r"^    PERPEND_GAUGE_\w+", (tap.ROOT / "include/perpend/sweep.h").read_text(), re.MULTILINE))
by_kind = re.findall(r"\{kind\|([^{}]*)\}", re.sub(r'"\s*"', "", (
    tap.ROOT / "src/text/sentences/gauge.inc").read_text(encoding="utf-8")))
t.ok(len(by_kind) >= 3 and all(said.count("|") + 1 == kinds for said in by_kind),
     f"what depends on the kind of gauge is said of {kinds} kinds")
t.ok(len(names) > 50, f"there are {len(names)} sentences")
t.equal(unbalanced, [], "their braces close")
t.equal(unknown, set(), "each of their slots has a sample")
t.equal([name for name in names if not re.search(rf"\b{name}\b", code)], [], "each is said")
t.equal(PAGE.read_text(encoding="utf-8") if PAGE.exists() else "", page,
        "docs/words.md shows them; tests/cli/sentences.py … --write makes it anew")
t.done()
