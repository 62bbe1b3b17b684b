#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend new, through a pipe: what it writes, solve takes; nothing is written that was not agreed."""
import json
import os
import re
import shutil
import signal
import stat
import subprocess
import tempfile

import tap
import talk

t = tap.Tap()
folder = tempfile.mkdtemp(prefix="perpend-new-")

# answers by the beginning of the prompt; what is not listed gets Enter
PLATE = {}


def talk_through(answers, *arguments, then=None, limit=60, env=None):
    """Answer each question by its prompt; a list is used up one by one. Returns the Talk."""
    answers = {key: list(value) if isinstance(value, list) else value
               for key, value in answers.items()}
    run = talk.Talk("new", *arguments, cwd=folder, env=env)
    try:
        for _ in range(limit):
            prompt = run.prompt()
            line = ""
            for key, value in answers.items():
                if prompt.startswith(key):
                    line = value.pop(0) if isinstance(value, list) and value else value
                    line = "" if isinstance(line, list) else line
                    break
            run.answer(line)
    except talk.Gone:
        pass
    run.status = run.end()
    return run


def written(name):
    with open(os.path.join(folder, name), encoding="utf-8") as file:
        return file.read()


def solved(name, readings=tap.AS_FOUND):
    run = tap.perpend("solve", os.path.join(folder, name), readings, "--json")
    return json.loads(run.out) if run.status < 2 else run.err


def left_over():
    return sorted(name for name in os.listdir(folder) if not name.endswith(".yaml"))


# -- the demo machine, by its measures ---------------------------------------------------------
run = talk_through({"name": "Tern", "stepover": "10"})
t.equal(run.status, 0, "the demo machine by Enter alone: written")
t.equal(run.error, "", "and nothing said on standard error")
text = written("tern.yaml")
want = json.loads(tap.perpend("solve", tap.TERN, tap.AS_FOUND, "--json").out)
got = solved("tern.yaml")
now, then = got["measurements"][0], want["measurements"][0]
for part in ("lean", "uncertainty", "ridge", "ridge_x", "ridge_y", "best", "fit"):
    t.equal(now[part], then[part], f"the same {part} as from the demo's own file")
t.ok(abs(now["plan"]["steps"][0]["bolts"][0]["shim"] - 80 * 0.5 / 75) < 1e-4,
     "shims for bolts 80 mm apart: 80 × 0.5/75 mm", now["plan"])
t.ok(text.count("#") >= 8, "the file has comments", text)
t.ok(all(len(line) <= 80 for line in text.splitlines()), "and fits 80 columns", text)
t.contains(run.text, "┌──────────────┐  1 top left", "the joint is drawn")
t.contains(run.text, "60 mm left to right, 80 mm up and down", "with its spans")
t.contains(run.text, "sides agree within 0.30", "the goal says what opposite sides must agree to")
t.contains(run.text, "perpend sweep tern.yaml", "it ends with what to type next")
t.equal(left_over(), [], "no temporary file is left")
mask = os.umask(0)
os.umask(mask)
t.equal(stat.S_IMODE(os.stat(os.path.join(folder, "tern.yaml")).st_mode), 0o666 & ~mask,
        "the file's permissions are those of any new file")

# -- each question has a way to find the answer, and help --------------------------------------
run = talk_through({}, "help.yaml")
prompts = [line for line in run.text.splitlines() if re.match(r"^[a-zA-Z ,]+( \[.*\])?: $", line)]
t.ok(len(prompts) >= 20, "twenty questions and more", prompts)
helped = talk.Talk("new", cwd=folder)
lacking = []
try:
    for _ in range(60):
        prompt = helped.prompt()
        helped.answer("help")
        shown = helped.question()
        if len(shown.split()) < 20 or "undo" not in shown:
            lacking.append((prompt, shown))
        if prompt.startswith("file name"):
            break
        helped.answer("")
except talk.Gone:
    pass
helped.answer("stop")
t.equal(helped.end(), 1, "stop ends with status 1")
t.equal(lacking, [], "help explains every question")
t.contains(helped.text, "Nothing is written.", "and says that nothing is written")

# -- shapes ------------------------------------------------------------------------------------
SHAPES = {
    "sides": ({"which": ["gap", "X", "sides"], "front to back": "40"}, ["right"], [["slide"]], 8),
    "sides with one above the other":
        ({"which": ["gap", "X", "sides"], "front to back": "0"}, ["right"], [["slide"]], 4),
    "flange that rests": ({"which": ["gap", "X", "flange", "rests"]}, ["up"], [["shim"]], 4),
    "flange that hangs": ({"which": ["gap", "X", "flange", "hangs"]}, ["down"], [["shim"]], 4),
    "push screws upright": ({"which": ["gap", "X", "screws", "upright"]}, ["front"], [["screw"]], 4),
    "push screws flat": ({"which": ["gap", "X", "screws", "flat"]}, ["up"], [["screw"]], 4),
    "no mount": ({"which": ["gap", "X", "none"]}, [], [], 0),
    "plate and sides": ({"which": ["gap", "X", "plate", "sides"], "another joint": ["yes", "no"],
                         "front to back": "40"},
                        ["front", "right"], [["shim", "slide"], ["slide"]], 12),
    "two plates": ({"which": ["gap", "X", "plate", "plate"], "another joint": ["yes", "no"]},
                   ["front", "front"], [["shim", "slide"]] * 2, 8),
    "numbers for words": ({"which": ["1", "2", "3", "2"]}, ["down"], [["shim"]], 4),
}
for name, (answers, faces, allows, bolts) in SHAPES.items():
    run = talk_through(answers, "shape.yaml")
    if not t.equal(run.status, 0, f"{name}: written"):
        print("#", run.error, run.text[-400:])
        continue
    said = " ".join(run.text.split())
    both = faces in ([], ["up"], ["down"]) or "shim" in allows[0] and "slide" in allows[0]
    t.equal("cannot turn the spindle to the left or right" in said, not both,
            f"{name}: a way that it cannot turn is told")
    t.lacks(said, "cannot turn the spindle back or forward", f"{name}: and none that it can")
    text = re.sub(r"(?m)^#.*\n", "", written("shape.yaml"))
    t.equal(re.findall(r"faces: (\w+)", text), faces, f"{name}: faces")
    t.equal([found.split(", ") for found in re.findall(r"allows: \[(.*)\]", text)], allows,
            f"{name}: allows")
    t.equal(len(re.findall(r"- \{name: [a-z ]+, at:", text)), bolts, f"{name}: bolts")
    answer = solved("shape.yaml")
    if t.ok(isinstance(answer, dict), f"{name}: solve takes it", answer) and faces:
        t.ok(answer["measurements"][0]["plan"] is not None, f"{name}: there is a plan")
    os.unlink(os.path.join(folder, "shape.yaml"))

for name, answers in (("in mm", {}), ("in inches", {"mm or in": "in", "arm length": "75 mm", "width of the bit": "7/8"})):
    talk_through({"which": ["gap", "X", "none"], **answers}, "head.yaml")
    text = written("head.yaml")
    t.ok(all(len(line) <= 90 for line in text.splitlines()), "an example of a mount that fits a screen", text)
    begin = text.index("#mount:")
    with open(os.path.join(folder, "head.yaml"), "w", encoding="utf-8") as file:
        file.write(text[:begin] + re.sub(r"(?m)^#", "", text[begin:]))
    run = tap.perpend("solve", os.path.join(folder, "head.yaml"), "-", "--json",
                      stdin="at,reading\nN,0.5 mm\nE,0.4 mm\nS,0.5 mm\nW,0.6 mm\n")
    steps = json.loads(run.out)["measurements"][0]["plan"]["steps"] if run.out else run.err
    t.equal([step["move"] for step in steps], ["slide"], f"{name}: without its marks it is one, and of use")
    os.unlink(os.path.join(folder, "head.yaml"))

# -- gauges, units -----------------------------------------------------------------------------
GAUGES = {
    "touch": ({"which": ["touch"]}, "gauge: {kind: touch, step: 0.01}"),
    "dial": ({"which": ["dial"], "does the number": "no"},
             "gauge: {kind: dial, step: 0.01, rises: away}"),
    "lever": ({"which": ["lever"], "does the number": "yes", "angle": "12,5"},
              "gauge: {kind: lever, step: 0.01, rises: toward, angle: 12.5}"),
    "gap": ({"smallest step": "20 um"}, "gauge: {kind: gap, step: 0.02}"),
}
for name, (answers, line) in GAUGES.items():
    run = talk_through(answers, "gauge.yaml")
    t.contains(written("gauge.yaml"), line, f"{name}: {line}")
    t.ok(isinstance(solved("gauge.yaml"), dict), f"{name}: solve takes it", run.error)
    os.unlink(os.path.join(folder, "gauge.yaml"))

run = talk_through({"mm or in": "in", "width of the bit": "7/8", "arm length": "75 mm",
                    "stepover": "45%", "thread": "1/4-20", "hole": "17/64",
                    "shims": ["0.002 x 8 brass", "0,1mm x 3", ""]}, "inch.yaml")
t.equal(run.status, 0, "a machine in inches: written")
text = written("inch.yaml")
t.contains(text, "arm: 2.952756", "75 mm are 2.952756 in")
t.contains(text, "cutter: {diameter: 0.875, corner: 0}", "7/8 in are 0.875 in")
t.contains(text, 'thread: "1/4-20", hole: 0.265625', "inch threads and holes")
t.contains(text, '- {thick: 0.002, count: 8, name: "brass"}', "shims with a name")
t.contains(text, "- {thick: 0.003937, count: 3}", "shims without, in another unit")
t.contains(" ".join(run.text.split()), "the width across the thread, such as 1/4 in, or metric, such as M5",
           "threads are asked for in inches")
t.ok(isinstance(solved("inch.yaml"), dict), "solve takes it", solved("inch.yaml"))

run = talk_through({"shims": ["8 x 0,05 brass", "3×0.1 can", "2*0.2", "1 x 2 bar", "16X20 um mm foil",
                              "none"]}, "shims.yaml")
t.equal(re.findall(r"- \{(thick: .*)\}", written("shims.yaml")),
        ['thick: 0.05, count: 8, name: "brass"', 'thick: 0.1, count: 3, name: "can"',
         "thick: 0.2, count: 2", 'thick: 1, count: 2, name: "bar"',
         'thick: 0.02, count: 16, name: "mm foil"'],
        "shims in either order, with any sign for times; none ends the list")
t.contains(written("shims.yaml"), "`spread: 0.02`", "the comment tells a spread in mm")
t.contains(written("inch.yaml"), "`spread: 0.0008`", "or in inches")

# -- free text ---------------------------------------------------------------------------------
NASTY = [
    'Tern: "the old one" # not', "'", '"', "\\", "\\x41\\n", "- a", "{a: b}", "[x", "&a *b !c",
    "%TAG", "@ `", "| >", "yes", "null", "~", "1.5", "<script>alert(1)</script>", "Möwe",
    "かもめ号", "\u202eright to left", "a\u0085b", "\U0001f6f6 boat", "Tern\tand tab",
    "ends in colon:", "x" * 60, "# comment", "--- ", "perpend: 1",
]
for number, name in enumerate(NASTY):
    run = talk_through({"name": name, "shims": [f"0.05 x 2 {name[:20]}", ""]}, "text.yaml")
    t.equal(run.status, 0, f"{name[:25]!r}: written")
    answer = solved("text.yaml")
    # what a terminal would act on becomes a blank
    shown = re.sub("[\t\u0085\u202e]", " ", name).strip()
    t.equal(answer["machine"] if isinstance(answer, dict) else answer, shown,
            f"{name[:25]!r}: comes back as it was")
    if os.path.exists(os.path.join(folder, "text.yaml")):
        os.unlink(os.path.join(folder, "text.yaml"))
names = {'Tern: "the old one" # not': "tern-the-old-one-not.yaml", "Möwe": "m-we.yaml",
         "かもめ号": "machine.yaml", "../../etc/x": "etc-x.yaml", "...": "machine.yaml"}
for name, file in names.items():
    run = talk_through({"name": name})
    t.ok(os.path.exists(os.path.join(folder, file)), f"{name!r} goes to {file}",
         os.listdir(folder))
    os.unlink(os.path.join(folder, file))

for typed, file, shown in (("0.2 x 5", "0.2 x 5.yaml", "'0.2 x 5.yaml'"), ("it's.yaml", "it's.yaml", "'it'\\''s.yaml'"),
                          ("-x", "-x.yaml", "./-x.yaml"), ("a $b.yml", "a $b.yml", "'a $b.yml'"),
                          ("./plain.txt", "plain.txt", "./plain.txt"), ("möwe", "möwe.yaml", "möwe.yaml")):
    run = talk_through({"file name": [typed, "other"], "is it right": "yes"})
    t.ok(os.path.exists(os.path.join(folder, file)), f"{typed!r} as a file name is {file}", os.listdir(folder))
    command = re.search(r"Next, at the machine: (.*)", run.text).group(1)
    t.equal(command, f"perpend sweep {shown}", "and the next command can be typed as it stands")
    there = subprocess.run(["sh", "-c", f"set -- {command}; cat \"$3\""], cwd=folder, capture_output=True, check=False)
    t.ok(b"perpend: 1" in there.stdout, "to a shell", there)
    t.equal("is it right" in run.text, typed in ("0.2 x 5", "./plain.txt"), "asked about when it is an unlikely one")
    os.unlink(os.path.join(folder, file))
run = talk_through({"file name": ["0.2 x 5", "x y"], "is it right": ["plain.txt", "no", "undo"]})
said = " ".join(run.text.split())
t.contains(said, "The file would be called 0.2 x 5.yaml.", "a name meant for another question is shown as it would be")
t.contains(said, "The file would be called plain.txt, but perpend sweep finds only .yaml of itself.",
           "another name may be typed at once")
t.ok(run.status == 0 and not os.path.exists(os.path.join(folder, "plain.txt")), "and is asked about itself", run.text)

# -- what is typed is checked ------------------------------------------------------------------
BAD = [  # prompt, what is typed, what it says
    ("mm or in", "metres", "Type a number from 1 to 2, or one of the words: mm, in"),
    ("arm length", "seventy", '"seventy" is not a length'),
    ("arm length", "5 furlongs", "Not a unit known here"),
    ("arm length", "1.2.3", "is not a length"),
    ("arm length", "nan", "is not a length"),
    ("arm length", "1e999", "is not a length"),
    ("arm length", "0", "It must be from 5 mm to 2000 mm."),
    ("arm length", "-75", "It must be from 5 mm to 2000 mm."),
    ("arm length", "5000", "It must be from 5 mm to 2000 mm."),
    ("which", "ruler", "Type a number from 1 to 4, or one of the words: gap, touch, dial, lever"),
    ("which", "5", "Type a number from 1 to 4"),
    ("smallest step", "0", "It must be from"),
    ("width of the bit", "0", "It must be from"),
    ("corner radius", "-1", "It must be from"),
    ("stepover", "22", "stripes would be left standing"),
    ("stepover", "101%", "stripes would be left standing"),
    ("stepover", "0", "It must be more than 0."),
    ("stepover", "half", "is not a length"),
    ("stepover", "x%", "is not a share"),
    ("depth", "deep", "is not a length"),
    ("ridge", "0", "It must be from"),
    ("faced here", "maybe", "Type yes or no."),
    ("left to right", "0", "It must be from"),
    ("thread", "M99", "is not a size known here"),
    ("thread", "big", "is not a size"),
    ("hole", "4", "wider than the bolt"),
    ("hole", "40", "wider than the bolt"),
    ("shims", "some foil", "Type thickness, x, how many"),
    ("shims", "0.05 x many", "Type thickness, x, how many"),
    ("shims", "0 x 5", "Type thickness, x, how many"),
    ("file name", "/", "not a plain file"),
]
for prompt, typed, said in BAD:
    run = talk_through({prompt: [typed, ""]}, "bad.yaml")
    if os.path.exists(os.path.join(folder, "bad.yaml")):
        os.unlink(os.path.join(folder, "bad.yaml"))
    text = " ".join(run.text.split())
    t.ok(said in text and run.status == 0, f"{prompt} {typed!r}: {said}",
         f"status {run.status}\n{run.error}\n{run.text}")
run = talk_through({"which": ["lever"], "does the number": "yes", "angle": ["75", "15"]}, "steep.yaml")
t.contains(run.text, "Type degrees from 0 to 60", "no angle that the file could not say")
t.contains(written("steep.yaml"), "angle: 15}", "is written")
run = talk_through({"arm length": ["7.5", "75"], "is it right": "no"}, "odd.yaml")
t.contains(run.text, "7.5 mm is unusual here", "an unlikely length is asked about")
t.contains(written("odd.yaml"), "arm: 75\n", "and asked for again")
run = talk_through({"arm length": "7.5", "is it right": "yes"}, "odd2.yaml")
t.contains(written("odd2.yaml"), "arm: 7.5\n", "or kept")
run = talk_through({"arm length": "7.5", "is it right": "80"}, "odd3.yaml")
t.contains(written("odd3.yaml"), "arm: 80\n", "or put right at once")
run = talk_through({"arm length": ["7.5", "76"], "is it right": "undo"}, "odd4.yaml")
t.contains(written("odd4.yaml"), "arm: 76\n", "undo asks the doubted question again")
t.equal(run.text.count("mm or in"), 1, "and not the one before")
run = talk_through({"arm length": "6.5cm"}, "cm.yaml")
t.contains(written("cm.yaml"), "arm: 65\n", "centimetres are read")
run = talk_through({"thread": ["45", "M5"], "is it right": "no"}, "thick.yaml")
t.contains(run.text, "45 mm is unusual here; most are from 2 mm to 20 mm.", "a thread as thick as that, too")
t.contains(written("thick.yaml"), "thread: M5", "and asked for again")
run = talk_through({"name": ["x" * 61, "y"], "depth": "none", "ridge": "NONE"}, "none.yaml")
t.contains(run.text, "at most 60 letters", "a name that is too long")
t.lacks(written("none.yaml"), "goal:", "no goal is no goal")
t.lacks(written("none.yaml"), "depth:", "and no depth no depth")
t.ok(isinstance(solved("none.yaml"), dict), "solve takes that")
run = talk_through({"name": ["y" * 5000, "short"]}, "long.yaml")
t.contains(run.text, "That line is too long", "a line of 5000 characters")
t.equal(run.status, 0, "and the talk goes on")

run = talk_through({"mm or in": "in", "which": ["lever", "X", "screws", "flat"]}, "lever.yaml")
t.contains(run.text, "Push the stylus up with a finger", "a lever indicator has a stylus")
t.contains(run.text, "smallest step, in [0.001]:", "and in inches shows thousandths")
t.contains(run.text, "The size of the push screws:", "push screws are asked for their own thread")

# -- going back --------------------------------------------------------------------------------
run = talk_through({"name": "A", "smallest step": ["undo", "0.02"], "which": ["gap", "dial"],
                    "does the number": "yes"}, "undo.yaml")
t.contains(written("undo.yaml"), "kind: dial, step: 0.02", "undo goes to the question before")
run = talk_through({"name": ["undo", "B"]}, "undo2.yaml")
t.contains(run.text, "This is the first question.", "undo at the first question")
run = talk_through({"file name": ["undo", ""], "shims": ["0.1 x 1 a", "undo", "", ""],
                    }, "undo3.yaml")
t.contains(run.text, "Taken out again: 0.1 x 1 a", "undo at the shims takes the last one out")
t.equal(run.status, 0, "undo at the end goes back, and the file is written all the same")
run = talk_through({"stepover": ["back", "9"], "corner radius": ["0", "1"]}, "undo4.yaml")
t.contains(written("undo4.yaml"), "corner: 1}", "back does the same where it is no answer")
run = talk_through({"arm length": ["80", "undo"], "which": ["undo", "gap"]}, "undo5.yaml")
t.contains(run.text, "arm length, mm [80]: ", "an answer given before is offered again")

# -- files -------------------------------------------------------------------------------------
keep = os.path.join(folder, "keep.yaml")
with open(keep, "w", encoding="utf-8") as file:
    file.write("precious\n")
run = talk_through({"name": "Yes", "file name": ["no", "YES"]})
t.contains(run.text, "Type undo to go back to the questions", "no is no file name")
t.ok(os.path.exists(os.path.join(folder, "yes.yaml")), "yes takes the name in brackets")
run = talk_through({"name": "Yes", "file name": "plain"})
t.contains(run.text, "Written: plain.yaml", "a name without an ending gets .yaml")
run = talk_through({"name": "Yes"}, "bare")
t.ok(os.path.exists(os.path.join(folder, "bare")), "one from the command line is taken as it is")
os.unlink(os.path.join(folder, "bare"))
run = talk_through({"write over it": "no", "file name": ["", "other.yaml"]}, "keep.yaml")
t.equal(written("keep.yaml"), "precious\n", "a file that is there stays when the answer is no")
t.ok(os.path.exists(os.path.join(folder, "other.yaml")), "and another name is asked for")
run = talk_through({"write over it": "", "file name": ["", "other2.yaml"]}, "keep.yaml")
t.equal(written("keep.yaml"), "precious\n", "no stands in brackets")
run = talk_through({"write over it": "yes"}, "keep.yaml")
t.contains(written("keep.yaml"), "perpend: 1", "it is replaced when the answer is yes")
target = os.path.join(folder, "target.yaml")
os.symlink("nowhere.yaml", os.path.join(folder, "link.yaml"))
run = talk_through({"file name": ["link.yaml", "real.yaml"], "write over it": "no"})
t.ok(not os.path.exists(os.path.join(folder, "nowhere.yaml")),
     "a link that leads nowhere counts as a file that is there")

# -- ended early -------------------------------------------------------------------------------
before = sorted(os.listdir(folder))
whole = talk_through({"name": "Whole"}, "whole.yaml")
os.unlink(os.path.join(folder, "whole.yaml"))
lines = whole.text.count(": \n")
for count in (0, 1, 3, 8, 15, 20):
    run = tap.perpend("new", "early.yaml", stdin="\n" * count, cwd=folder)
    t.equal((run.status, run.err), (2, "perpend: standard input ended before the last question; "
                                       "nothing is written, give the answers that are missing\n"),
            f"ended after {count} answers: one line, status 2")
t.equal(sorted(os.listdir(folder)), before, "and nothing is written")
run = tap.perpend("new", "early.yaml", stdin=b"Tern\nstop\n", cwd=folder)
t.equal(run.status, 1, "stop is status 1")
for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
    run = talk.Talk("new", "early.yaml", cwd=folder)
    run.say("Tern", "", "")
    run.question()
    run.process.send_signal(number)
    t.equal(run.wait(), 1, f"{signal.Signals(number).name} is a stop")
    t.contains(run.text, "Nothing is written.", "and says so")
t.equal(sorted(os.listdir(folder)), before, "still nothing is written")
run = tap.perpend("new", "bytes.yaml", stdin=b"T\xff\xfern\nTern\n" + b"\n" * 30, cwd=folder)
t.contains(run.out, "bytes that are no letters", "bytes that are not UTF-8 are asked for again")
t.contains(written("bytes.yaml"), 'machine: "Tern"', "and what comes then is taken")
run = tap.perpend("new", "nul.yaml", stdin=b"T\0e\x1b[31mrn\x7f\n" + b"\n" * 30, cwd=folder)
t.contains(written("nul.yaml"), 'machine: "T e [31mrn"', "control characters become blanks")
run = tap.perpend("new", "crlf.yaml", stdin=b"Tern\r\n" + b"\r\n" * 30, cwd=folder)
t.contains(written("crlf.yaml"), 'machine: "Tern"', "lines may end in CRLF")

# -- the command line --------------------------------------------------------------------------
t.refused(tap.perpend("new", "a", "b"), 2, "new: one file at most; 'perpend new --help' says more",
          "two files")
run = talk_through({}, "--ascii", "ascii.yaml")
t.ok(run.text.isascii(), "--ascii keeps to ASCII")
run = talk_through({}, "ascii2.yaml", env=tap.environment(LC_ALL="C"))
t.ok(run.text.isascii(), "so does a locale without UTF-8")
for width in (60, 80):
    run = talk_through({}, f"width{width}.yaml", env=tap.environment(COLUMNS=width))
    t.ok(all(len(line) <= width for line in run.text.splitlines()), f"it fits {width} columns",
         [line for line in run.text.splitlines() if len(line) > width])

shutil.rmtree(folder)
t.done()
