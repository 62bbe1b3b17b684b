#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend solve: what it takes, what it returns, and the demo on one screen."""
import json
import pathlib
import re
import tempfile

import tap

t = tap.Tap()
MACHINE = pathlib.Path(tap.TERN).read_text(encoding="utf-8")
READINGS = pathlib.Path(tap.AS_FOUND).read_text(encoding="utf-8")

# -- the demo ----------------------------------------------------------------------------------
demo = tap.perpend("solve", tap.TERN, tap.AS_FOUND)
t.equal((demo.status, demo.err), (1, ""), "the demo is not good enough yet: status 1")
lines = demo.out.splitlines()
t.ok(len(lines) <= 24, "the demo is on one screen of 24 lines", len(lines))
t.ok(all(len(line) <= 80 for line in lines), "of 80 columns")
t.ok(all(line == line.rstrip() for line in lines), "no line ends in blanks")
said = demo.sentence()
ORDER = [
    "Tern, as found",
    "4 readings, ± is 95 %",
    "NOT YET: ridge 0.067 mm",
    "The top leans back 6.7 ± 0.7 mm/m.",
    "Quick way out: face along Y, ridge 0.008 mm.",
    "Unplug",
    "Arm to the front",
]
said = re.sub(r" (back|left|front) \d+\.\d\d( \+ right \d+\.\d\d)? ", " ", said)  # without the compass
places = [said.find(part) for part in ORDER]
for part, place in zip(ORDER, places):
    t.ok(place >= 0, f"the demo says: {part}", said)
t.equal(places, sorted(places), "in the order in which a tired person wants it")

narrow = tap.perpend("solve", tap.TERN, tap.AS_FOUND, env=tap.environment(COLUMNS=60))
t.ok(all(len(line) <= 60 for line in narrow.out.splitlines()), "60 columns when COLUMNS says so")
for columns in ("20", "1", "0", "-7", "x", "", "99999999999999999999", "100"):
    run = tap.perpend("solve", tap.TERN, tap.AS_FOUND, env=tap.environment(COLUMNS=columns))
    widest = max(len(line) for line in run.out.splitlines())
    want = 60 if columns in ("20", "1") else 80
    t.ok(want - 20 < widest <= want, f"COLUMNS={columns!r} gives at most {want}", widest)
more = tap.perpend("solve", tap.TERN, tap.AS_FOUND, "--more").sentence()
for part in ("The goal is almost surely not met.", "0.067 mm along X, 0.008 mm along Y",
             "run off 0.067 mm per 10 mm of depth", "Readings, and how far each is off the fit: front 1.00"):
    t.contains(more, part, f"--more says: {part}")
    t.lacks(said, part, "which stands on no first screen")
t.lacks(demo.out, "\033", "no bold letters where there is no terminal")

# -- the same numbers as the machine-readable answer -------------------------------------------
answer = json.loads(tap.perpend("solve", tap.TERN, tap.AS_FOUND, "--json").out)
last = answer["measurements"][-1]
t.contains(said, f"leans back {last['lean']['back']:.1f} ± "
           f"{2 * last['uncertainty']['back']:.1f} mm/m", "lean and its ± are those of --json")
t.contains(said, f"ridge {last['ridge']['height']:.3f} mm ({last['ridge']['low']:.3f} to "
           f"{last['ridge']['high']:.3f}) along X", "ridge and its interval are those of --json")

# -- standard input, statuses ------------------------------------------------------------------
t.equal(tap.perpend("solve", "-", tap.AS_FOUND, stdin=MACHINE).bytes, demo.bytes,
        "the machine file from standard input")
t.equal(tap.perpend("solve", tap.TERN, "-", stdin=READINGS).bytes, demo.bytes,
        "the readings from standard input")
t.equal(tap.perpend("solve", "--ascii", tap.TERN, "--more", tap.AS_FOUND).bytes,
        tap.perpend("solve", tap.TERN, tap.AS_FOUND, "--ascii", "--more").bytes,
        "options before, between and after the files")
CSV = "sweep,at,reading\na,front,{}\na,right,{}\na,back,{}\na,left,{}\n"
met = tap.perpend("solve", tap.TERN, "-", stdin=CSV.format("0,5", "0,5", "0,5", "0,5")
                  .replace("0,5", '"0,5"'))
t.equal(met.status, 0, "goal met is status 0")
t.contains(met.sentence(), "Leave the bolts alone.", "and says to stop")
t.lacks(met.out, "loosen", "and no bolt is to be loosened")
with tempfile.TemporaryDirectory() as folder:
    no_goal = pathlib.Path(folder) / "no-goal.yaml"
    no_goal.write_text(re.sub(r"^goal:.*\n", "", MACHINE, flags=re.M), encoding="utf-8")
    run = tap.perpend("solve", str(no_goal), tap.AS_FOUND)
    t.equal(run.status, 0, "no goal is status 0")
    t.contains(run.out, "No goal is set.", "and says that there is none")
    t.lacks(run.out, "GOOD ENOUGH", "and makes no verdict")
    run = tap.perpend("solve", "gone.yaml", tap.AS_FOUND, cwd=folder)
    t.ok(run.status == 2 and run.out == "" and run.err.startswith("perpend: gone.yaml: ")
         and run.err.count("\n") == 1, "a machine file that is not there: one line, status 2",
         run.err)
    run = tap.perpend("solve", tap.TERN, ".", cwd=folder)
    t.ok(run.status == 2 and run.err.count("\n") == 1, "a folder for readings: one line", run.err)
    run = tap.perpend("solve", tap.TERN, "-", stdin="sweep,at,reading\na,front,1\na,back,0\n")
    t.ok(run.status == 2 and run.out == "" and run.err.count("\n") == 1 and "add one at right" in run.err,
         "two readings: one line that says what is missing", run.err)

# -- a ridge that was measured, a test cut that does not agree ----------------------------------
SWEEP = ("sweeps:\n  - readings: [{at: front, reading: 1}, {at: right, reading: 0.5}, {at: back, reading: 0}, "
         "{at: left, reading: 0.5}]\n")
for measured, said in (("{x: 0.2, y: 0.008}", "Measured along X: 0.200 mm, expected 0.067 mm (0.054 to 0.071): higher "
                        "than both are unsure. The bearing gives way in the cut, the bit's edge is worn, or the mount "
                        "has moved since: sweep again."),
                       ("{y: 0.15}", "Measured along Y: 0.150 mm, expected 0.008"),
                       ("{x: 0.1, y: 0.02}", None), ("{x: 0.03}", None)):
    run = tap.perpend("solve", tap.TERN, "-", "--more", stdin=f"perpend: 1\nmeasured: {measured}\n{SWEEP}")
    text = " ".join(run.out.split())
    if said:
        t.contains(text, said, f"measured {measured}: what that may mean")
        t.equal(text.count("than both are unsure"), 1, "and nothing of the other")
    else:
        t.lacks(text, "than both are unsure", f"measured {measured}: leaves read no nearer")
run = tap.perpend("solve", tap.TERN, "-", "--more", stdin=f"perpend: 1\n{SWEEP}    cut: [{{higher: front, step: 0.1}}, "
                  "{higher: right, step: 0}]\n")
t.contains(" ".join(run.out.split()), "they lie 13.2 mm/m apart. Read both again.",
           "a cut that leans the other way is questioned")
t.done()
