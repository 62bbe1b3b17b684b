#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend new, through a pipe: what it writes, solve takes; nothing is written that was not agreed."""
import json
import math
import os
import pathlib
import re
import shutil
import signal
import stat
import subprocess
import tempfile

import tap
import talk

t = tap.Tap()
folder = pathlib.Path(tempfile.mkdtemp(prefix="perpend-new-"))

# what only a ruler tells, by the beginning of the prompt; all else gets Enter
RULER = {"arm length": "75", "width of the bit": "22", "shape": "plate", "left to right": "60", "circle": "90",
         "front to back": "70", "up and down": "80", "tip to bolts": "130", "tip to foot": "20",
         "middle to bolts": "40", "thread": "M5"}


def talk_through(answers, *arguments, env=None):
    """Answer each question by its prompt; a list is used up one by one, then as RULER has it."""
    waiting = {key: list(value) if isinstance(value, list) else [value] for key, value in answers.items()}
    run = talk.Talk("new", *arguments, cwd=folder, env=env)
    try:
        for _ in range(90):
            prompt = run.prompt()
            line = next((value for key, value in RULER.items() if prompt.startswith(key + ":") or
                         prompt.startswith(key + ",") and not prompt.endswith("]: ")), "")
            prompt = prompt.removeprefix("more ")
            for key, lines in waiting.items():
                if prompt.startswith(key) and lines:
                    line = lines.pop(0)
                    break
            run.answer(line)
    except talk.Gone:
        pass
    run.status = run.end()
    return run


def written(name):
    return (folder / name).read_text(encoding="utf-8")


def solved(name, readings=tap.AS_FOUND):
    run = tap.perpend("solve", str(folder / name), readings, "--json")
    return json.loads(run.out) if run.status < 2 else run.err


def forget(*names):
    for name in names:
        (folder / name).unlink(missing_ok=True)


# -- the demo machine, by its measures ---------------------------------------------------------
run = talk_through({"name": "Tern", "stepover": "10", "shims": ["8 x 0,05 brass", "0.1 x 10 drink can"],
                    "place": "boat shed", "again": "26 weeks"})
t.equal((run.status, run.error), (0, ""), "the demo machine: written")
text = written("tern.yaml")
want = json.loads(tap.perpend("solve", tap.TERN, tap.AS_FOUND, "--json").out)
got = solved("tern.yaml")
for part in want["measurements"][0]:
    t.equal(got["measurements"][0][part], want["measurements"][0][part], f"the same {part} as from the demo's own file")
t.ok(text.count("#") >= 8 and all(len(line) <= 90 for line in text.splitlines()), "the file has comments", text)
t.contains(text, "arm: 75\n", "a ruler's half millimetre is not stated")
t.contains(run.text, "┌──────────────┐  1 top left", "the joint is drawn")
t.contains(" ".join(run.text.split()), "met for sure while front and back, and left and right, read no more than 0.2 mm apart", "the goal says what opposite readings must agree to")
t.contains(run.text, "perpend sweep tern.yaml", "it ends with what to type next")
for measured in ("arm length, mm: ", "width of the bit, mm: ", "left to right, mm: ", "thread: "):
    t.contains(run.text, "\n" + measured, "no bracket offers what only a ruler tells")
mask = os.umask(0)
os.umask(mask)
t.equal([stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()], [0o666 & ~mask],
        "the file's permissions are those of any new file, and no other file is left")

# -- a file that is there is where the answers start -------------------------------------------
run = talk_through({"ridge": "0.03"}, "tern.yaml")
t.equal(run.status, 0, "the file changed")
t.equal(written("tern.yaml"), text.replace("ridge: 0.02", "ridge: 0.03"), "and nothing else in it")
ALL = """perpend: 1
unit: in
machine: Möwe
place: shed
due: 10 jobs
arm: {length: 75 mm, uncertainty: 1%, aim: 3, turned: 1}
gauge: {kind: lever, step: 0.001, rises: away, angle: 15, spread: 0.001}
cutter: {diameter: 7/8, corner: 0.02}
facing: {stepover: 0.4, along: 30}
cut: {stepover: 0.8, apart: 0.15}
goal: {ridge: 0.001, lean: 0.001 over 6}
bed: {kind: as found, flat: 0.003, slope: [0.5, -1], uncertainty: 0.1}
mount: # ours
  - {joint: "a: b", faces: front, allows: [slide], bolts: [
     {name: ł, at: [-1, 2, 3], thread: 1/4-20, hole: 17/64},
     {name: r, at: [1, 2, 3], thread: 1/4-20, hole: 17/64}]}
  # the second

stock:
- {thick: 0.004, count: 3, name: "x # y"}
board:
  size: [16, 17]
  thickness: 3/4
  metal:
  - {x: 1, y: 1, under: 0.25}
travel: {size: [15, 16], at: [0, 0]}
feed: 40
speed: 12000
acceleration: 4
"""
(folder / "all.yaml").write_text(ALL, encoding="utf-8")
plain = "at,reading\nfront,0.02\nright,0.01\nback,0.02\nleft,0.03\n"
(folder / "plain.csv").write_text(plain)
before = solved("all.yaml", str(folder / "plain.csv"))
source = (tap.ROOT / "src/files/machine_file.c").read_text(encoding="utf-8")
keys = re.findall(r'\{"(\w+)",', source[source.index("key machine_keys[]"):source.index("machine_mapping =")])
t.equal(sorted(set(keys) ^ set(re.findall(r"(?m)^(\w+):", ALL))), [], "a file with every key there is")
run = talk_through({}, "all.yaml")
t.equal(run.status, 0, "a file with every key goes through by Enter alone")
t.equal(solved("all.yaml", str(folder / "plain.csv")), before, "and says the same as before")
for part in ("aim: 3", "turned: 1", "flat: 0.003", "along: 30", "unit: in", "uncertainty: 1%", 'joint: "a: b"',
             'name: "x # y"', 'place: shed'):
    t.contains(written("all.yaml"), part, "it still has what nobody asked")
t.lacks(run.text, "mm or in", "its unit is not asked, since all its numbers hang on it")
run = talk_through({"gauge": "gap", "keep it": "no", "keep them": "no", "shape": "none"}, "all.yaml")
t.ok(run.status == 0 and not re.search("rises|angle|\nmount|stock", written("all.yaml")),
     "what no longer applies goes", written("all.yaml"))
(folder / "bad.yaml").write_text("perpend: 1\narm: x\n")
t.refused(tap.perpend("new", "bad.yaml", cwd=folder), 2, "bad.yaml:1: gauge is missing; a machine file needs "
          "perpend, arm, gauge, cutter and facing", "a file that is wrong is not taken")
json_file = {"perpend": 1, "arm": 75, "gauge": {"kind": "gap", "step": 0.05}, "cutter": {"diameter": 22},
             "facing": {"stepover": 10, "along": "X"},
             "mount": [{"joint": "p", "faces": "up", "allows": ["shim"],
                        "bolts": [{"name": "a", "at": [0, 0, 1]}, {"name": "b", "at": [0, 9, 1]}]}]}
(folder / "json.yaml").write_text(json.dumps(json_file, indent=1))
before = solved("json.yaml")
t.equal((talk_through({"name": "J"}, "json.yaml").status, solved("json.yaml")["measurements"]),
        (0, before["measurements"]), "a file in JSON")
forget("tern.yaml", "all.yaml", "plain.csv", "bad.yaml", "json.yaml")

# -- each question has help --------------------------------------------------------------------
helped = talk.Talk("new", cwd=folder)
lacking, count = [], 0
try:
    while True:
        prompt = helped.prompt()
        helped.answer("help")
        shown = helped.question()
        count += 1
        if len(shown.split()) < 15 or "undo" not in shown:
            lacking.append((prompt, shown))
        if prompt.startswith("file name"):
            break
        helped.answer(next((value for key, value in RULER.items() if prompt.startswith(key + ":") or
                            prompt.startswith(key + ",") and not prompt.endswith("]: ")), ""))
except talk.Gone:
    pass
helped.answer("stop")
t.equal(helped.end(), 1, "stop ends with status 1")
t.equal((lacking, count >= 25), ([], True), "help explains every question")
t.contains(helped.text, "Nothing is written.", "and says that nothing is written")

# -- shapes ------------------------------------------------------------------------------------
SHAPES = [  # answers, faces, allows, bolts, a way that it cannot turn
    ({"shape": "plate"}, ["front"], [["shim", "slide"]], 4, None),
    ({"shape": "1"}, ["front"], [["shim", "slide"]], 4, None),
    ({"shape": "pair"}, ["front"], [["shim", "slide"]], 2, None),
    ({"shape": "sides", "front to back": "40"}, ["right"], [["slide"]], 8, "to the left or right"),
    ({"shape": "sides", "front to back": "0"}, ["right"], [["slide"]], 4, "to the left or right"),
    ({"shape": "flange"}, ["up"], [["shim"]], 4, None),
    ({"shape": "hangs"}, ["down"], [["shim"]], 4, None),
    ({"shape": "round"}, ["up"], [["shim"]], 4, None),
    ({"shape": "swivel"}, ["front"], [["turn"]], 2, "back or forward"),
    ({"shape": "column"}, ["up"], [["shim"]], 4, None),
    ({"shape": "screws"}, ["front"], [["screw"]], 4, "to the left or right"),
    ({"shape": "lid"}, ["up"], [["screw"]], 4, None),
    ({"shape": "none"}, [], [], 0, None),
    ({"shape": ["plate", "sides"], "another": ["yes", "no"], "front to back": "40"},
     ["front", "right"], [["shim", "slide"], ["slide"]], 12, None),
    ({"shape": ["plate"] * 2, "another": ["yes", "no"]}, ["front"] * 2, [["shim", "slide"]] * 2, 8, None),
]
for answers, faces, allows, bolts, unserved in SHAPES:
    name = " and ".join([answers["shape"]] if isinstance(answers["shape"], str) else answers["shape"])
    run = talk_through(answers, "shape.yaml")
    if not t.equal(run.status, 0, f"{name}: written"):
        print("#", run.error, run.text[-400:])
        continue
    said = " ".join(run.text.split())
    ways = [way for way in ("to the left or right", "back or forward") if f"cannot turn the spindle {way}" in said]
    t.equal(ways, [unserved] if unserved else [], f"{name}: a way that it cannot turn is told")
    text = re.sub(r"(?m)^#.*\n", "", written("shape.yaml"))
    t.equal((re.findall(r"faces: (\w+)", text), len(re.findall(r"- \{name: [a-z ]+, at:", text)),
             [found.split(", ") for found in re.findall(r"allows: \[(.*)\]", text)]), (faces, bolts, allows),
            f"{name}: faces, bolts, moves")
    answer = solved("shape.yaml")
    if t.ok(isinstance(answer, dict), f"{name}: solve takes it", answer) and faces:
        t.ok(answer["measurements"][0]["plan"] is not None, f"{name}: there is a plan")
    forget("shape.yaml")

for name, answers in (("in mm", {}), ("in inches", {"mm or in": "in", "arm length": "75 mm",
                                                    "width of the bit": "7/8"})):
    talk_through({"shape": "none", **answers}, "head.yaml")
    text = written("head.yaml")
    t.ok(all(len(line) <= 90 for line in text.splitlines()), "an example of a mount that fits a screen", text)
    begin = text.index("#mount:")
    (folder / "head.yaml").write_text(text[:begin] + re.sub(r"(?m)^#", "", text[begin:]))
    run = tap.perpend("solve", str(folder / "head.yaml"), "-", "--json",
                      stdin="at,reading\nN,0.5 mm\nE,0.4 mm\nS,0.5 mm\nW,0.6 mm\n")
    steps = json.loads(run.out)["measurements"][0]["plan"]["steps"] if run.out else run.err
    t.equal([step["move"] for step in steps], ["slide"], f"{name}: without its marks it is one, and of use")
    forget("head.yaml")

# the examples, one of each shape: there is a plan for a lean, and Enter alone changes nothing in them
LEANING = "at,reading\nfront,1 mm\nright,0.8 mm\nback,0.2 mm\nleft,0.4 mm\n"
(folder / "leaning.csv").write_text(LEANING)
examples = sorted((tap.ROOT / "examples").glob("*-*-*.yaml")) + [tap.ROOT / "examples" / "knot-column.yaml"]
examples = [path for path in examples if not path.name.startswith("tern")]
t.equal(len(examples), 5, "an example of each other way to hold a spindle")
for path in examples:
    shutil.copy(path, folder / path.name)
    before = solved(path.name, str(folder / "leaning.csv"))
    t.ok(before["measurements"][0]["plan"]["steps"], f"{path.name}: there is something to do", before)
    run = talk_through({}, path.name)
    t.equal((run.status, solved(path.name, str(folder / "leaning.csv"))), (0, before), "Enter alone changes nothing")
    t.equal(written(path.name), path.read_text(), "and writes the same file")
    forget(path.name)

# -- answers as the file has them --------------------------------------------------------------
TAKEN = [  # answers, what the file says
    ({"gauge": "touch"}, "gauge: {kind: touch, step: 0.01}"),
    ({"gauge": "dial", "which": "down"}, "gauge: {kind: dial, step: 0.01, rises: away}"),
    ({"gauge": "lever", "angle": "12,5"}, 'gauge: {kind: lever, step: 0.01, rises: toward, angle: "12,5"}'),
    ({"smallest step": "20 um"}, "gauge: {kind: gap, step: 20 um}"),
    ({"spread": "0.03"}, "step: 0.05, spread: 0.03}"),
    ({"measured by": "caliper"}, "arm: {length: 75, uncertainty: 0.1 mm}"),
    ({"bed": "found"}, "bed: as found"),
    ({"bed": "2"}, "bed: plate"),
    ({"lean": "0.01 over 150"}, "goal: {ridge: 0.02, lean: 0.01 over 150}"),
    ({"mm or in": "in", "arm length": "75 mm", "width of the bit": "7/8", "thread": "1/4-20", "hole": "17/64",
      "left to right": "2.5", "up and down": "3", "tip to bolts": "5", "middle to bolts": "1.5",
      "shims": ["0.002 x 8 brass", "0,1mm x 3"]},
     'arm: 75 mm', "cutter: {diameter: 7/8, corner: 0}", "at: [-1.25, 1.5, 8]", 'thread: "1/4-20", hole: 17/64',
     "- {thick: 0.002, count: 8, name: brass}", "- {thick: 0.00393701, count: 3}", "`spread: 0.0008`"),
    ({"shims": ["8 x 0,05 brass", "3×0.1 can", "2*0.2", "1 x 2 bar", "16X20 um mm foil", "none"]},
     "- {thick: 0.05, count: 8, name: brass}", "- {thick: 0.1, count: 3, name: can}", "- {thick: 0.2, count: 2}",
     "- {thick: 1, count: 2, name: bar}", "- {thick: 0.02, count: 16, name: mm foil}", "`spread: 0.02`"),
    ({"arm length": ["7.5", "75"], "is it right": "no"}, "arm: 75\n"),
    ({"arm length": "7.5", "is it right": "yes"}, "arm: 7.5\n"),
    ({"arm length": "7.5", "is it right": "80"}, "arm: 80\n"),
    ({"arm length": ["7.5", "76"], "is it right": "undo"}, "arm: 76\n"),
    ({"smallest step": ["undo", "0.02"], "gauge": ["gap", "dial"]}, "kind: dial, step: 0.02"),
    ({"stepover": ["back", "9"], "corner radius": ["0", "1"]}, "corner: 1}"),
    ({"file name": ["undo", ""], "again": ["none", "undo", "4 weeks"], "shims": ["0.1 x 1 a", "undo", "0.2 x 1 b"]},
     "due: 4 weeks", "- {thick: 0.2, count: 1, name: b}"),
]
for answers, *said in TAKEN:
    run = talk_through(answers, "taken.yaml")
    for part in said:
        t.contains(written("taken.yaml"), part, f"{answers}: {part}")
    t.ok(isinstance(solved("taken.yaml"), dict), "solve takes it", solved("taken.yaml"))
    t.equal("is unusual here; most are from" in run.text, "is it right" in answers, "an unlikely length is asked about")
    forget("taken.yaml")
run = talk_through({"depth": "none", "ridge": "NONE"}, "none.yaml")
t.ok(not re.search("\ngoal:|depth:", written("none.yaml")), "none leaves its key out", written("none.yaml"))
readings = [0.5, 0.55, 0.5, 0.6, 0.5]
talk_through({"spread": " ".join(map(str, readings))}, "none2.yaml")
mean = sum(readings) / 5
mixed = math.sqrt((4 * 0.02 ** 2 + sum((reading - mean) ** 2 for reading in readings)) / 8)
t.contains(written("none2.yaml"), f"spread: {mixed:.2g} mm", "readings of one place give the scatter, mixed with the usual")

# -- free text ---------------------------------------------------------------------------------
NASTY = [
    'Tern: "the old one" # not', "'", '"', "\\", "\\x41\\n", "- a", "{a: b}", "[x", "&a *b !c",
    "%TAG", "@ `", "| >", "yes", "null", "~", "1.5", "<script>alert(1)</script>", "Möwe", "かもめ号",
    "\u202eright to left", "a\u0085b", "\U0001f6f6 boat", "Tern\tand tab", "ends in colon:", "x" * 120,
    "# comment", "--- ", "perpend: 1",
]
LINES = ["", "", "", "", "", "75", "", "22", "", "", "", "", "", "", "", "flange", "60", "60", "130", ""]
for name in NASTY:
    lines = [name, *LINES, f"0.05 x 2 {name[:20]}", "", "", ""]
    run = tap.perpend("new", "text.yaml", stdin="\n".join(lines) + "\n", cwd=folder)
    answer = solved("text.yaml") if run.status == 0 else run.out + run.err
    # what a terminal would act on becomes a blank
    shown = re.sub("[\t\u0085\u202e]", " ", name).strip()
    t.equal(answer["machine"] if isinstance(answer, dict) else answer, shown, f"{name[:25]!r}: comes back as it was")
    forget("text.yaml")
NAMES = {'Tern: "the old one" # not': "tern-the-old-one-not.yaml", "Möwe": "m-we.yaml",
         "かもめ号": "machine.yaml", "../../etc/x": "etc-x.yaml", "...": "machine.yaml"}
for name, file in NAMES.items():
    tap.perpend("new", stdin="\n".join([name, *LINES, "", "", ""]) + "\n", cwd=folder)
    t.ok((folder / file).exists(), f"{name!r} goes to {file}", os.listdir(folder))
    forget(file)
for typed, file, shown in (("it's.yaml", "it's.yaml", "'it'\\''s.yaml'"), ("-x", "-x.yaml", "./-x.yaml"),
                           ("a $b.yml", "a $b.yml", "'a $b.yml'"), ("möwe", "möwe.yaml", "möwe.yaml")):
    run = tap.perpend("new", stdin="\n".join(["", *LINES, "", "", typed]) + "\n", cwd=folder)
    command = (re.findall(r"Next, at the machine: (.*)", run.out) or [run.out])[0]
    t.equal(command, f"perpend sweep {shown}", "the next command can be typed as it stands")
    there = subprocess.run(["sh", "-c", f"set -- {command}; cat \"$3\""], cwd=folder, capture_output=True, check=False)
    t.ok(b"perpend: 1" in there.stdout, "to a shell", there)
    forget(file)

# -- what is typed is checked, in one sitting --------------------------------------------------
BAD = {
    "name": [("x" * 121, "at most 120 are taken"), ("y" * 5000, "That line is too long")],
    "mm or in": [("metres", "Type a number from 1 to 2, or one of the words: mm, in")],
    "gauge": [("ruler", "Type a number from 1 to 4, or one of the words: gap, touch, dial, lever"),
              ("5", "Type a number from 1 to 4"), ("lever", "Push the stylus up")],
    "smallest step": [("0", "must be more than 0"), ("", "how steeply")],
    "which": [("up", "")],
    "angle": [("75", "use 0 to 60 degrees")],
    "spread": [("0.5 0.6", "Type three readings or more"), ("a b c", "Type three readings or more")],
    "arm length": [("", "Something has to be typed"), ("seventy", '"seventy" is not a length'),
                   ("5 furlongs", "unknown unit"), ("1.2.3", "is not a length"), ("nan", "is not a length"),
                   ("1e999", "too large"), ("0", "is under 1 mm"), ("-75", "is under 1 mm"), ("5000", "is over 2000 mm"),
                   ("65 mm", "")],
    "width of the bit": [("0", "must be more than 0")],
    "corner radius": [("-1", "must be 0 or more"), ("12", "more than half the diameter")],
    "stepover": [("22", "stripes would stand"), ("101%", "stripes would stand"), ("0", "must be more than 0"),
                 ("half", "is not a length"), ("x%", "is not a length")],
    "passes": [("Z", "one of the words: X, Y, both")],
    "depth": [("deep", "is not a length")],
    "ridge": [("0", "must be more than 0")],
    "lean": [("steep", "is not mm per metre")],
    "bed": [("maybe", "one of the words: faced, plate, found")],
    "left to right": [("0", "measure both again"), ("-60", "is not a length")],
    "thread": [("M200", "is out of range"), ("big", "is not one; use M5"), ("M5", "")],
    "hole": [("4", "smaller than its thread")],
    "another": [("maybe", "Type yes or no.")],
    "shims": [("some foil", "Type thickness, x, how many"), ("0.05 x many", "Type thickness, x, how many"),
              ("0 x 5", "thick \"0\" is under")],
    "again": [("5 years", "must be 1 to 1000 weeks or jobs")],
    "file name": [("/", "not a plain file"), ("no", "Enter alone writes it"), ("0.2 x 5", "Let the name end in .yaml"),
                  ("none.yaml", "There is a file none.yaml already"), ("link.yaml", "is not a plain file"),
                  ("", "Written: router.yaml")],
}
os.symlink("nowhere.yaml", folder / "link.yaml")
run = talk_through({prompt: [typed for typed, _ in rows] for prompt, rows in BAD.items()})
said = " ".join(run.text.split()).lower()
t.equal(run.status, 0, "the sitting ends with a file")
for prompt, rows in BAD.items():
    for typed, complaint in rows:
        t.ok(complaint.lower() in said, f"{prompt} {typed[:20]!r}: {complaint}", run.text)
t.contains(written("router.yaml"), "angle: 0", "what was right is written")
t.ok(not (folder / "nowhere.yaml").exists(), "a link is not followed")
run = talk_through({"name": ["undo", "B"]}, "first.yaml")
t.contains(run.text, "This is the first question.", "undo at the first question")
run = talk_through({"arm length": ["80", "undo", ""], "measured by": "undo", "spread": ["", ""]}, "again.yaml")
t.contains(run.text, "arm length, mm [80]: ", "an answer given before is offered again")
run = talk_through({}, "bare")
t.ok((folder / "bare").exists(), "a name from the command line is taken as it is")
before = sorted(os.listdir(folder))

# -- ended early -------------------------------------------------------------------------------
for count in (0, 1, 3, 8, 15, 20):
    run = tap.perpend("new", "early.yaml", stdin="\n".join(["", *LINES][:count]) + "\n" * (count > 0), cwd=folder)
    t.equal((run.status, run.err), (2, "perpend: standard input ended before the last question; "
                                       "nothing is written, give the answers that are missing\n"),
            f"ended after {count} answers: one line, status 2")
run = tap.perpend("new", "early.yaml", stdin=b"Tern\nstop\n", cwd=folder)
t.equal(run.status, 1, "stop is status 1")
for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
    run = talk.Talk("new", "early.yaml", cwd=folder)
    run.say("Tern", "", "")
    run.question()
    run.process.send_signal(number)
    t.equal(run.wait(), 1, f"{signal.Signals(number).name} is a stop")
    t.contains(run.text, "Nothing is written.", "and says so")
t.equal(sorted(os.listdir(folder)), before, "and nothing is written")
rest = "\n".join([*LINES, "", "", ""]).encode() + b"\n"
run = tap.perpend("new", "bytes.yaml", stdin=b"T\xff\xfern\nTern\n" + rest, cwd=folder)
t.contains(run.out, "bytes that are no letters", "bytes that are not UTF-8 are asked for again")
t.contains(written("bytes.yaml"), "machine: Tern", "and what comes then is taken")
run = tap.perpend("new", "nul.yaml", stdin=b"T\0e\x1b[31mrn\x7f\n" + rest, cwd=folder)
t.contains(written("nul.yaml"), 'machine: "T e [31mrn"', "control characters become blanks")
run = tap.perpend("new", "crlf.yaml", stdin=b"Tern\r\n" + rest.replace(b"\n", b"\r\n"), cwd=folder)
t.contains(written("crlf.yaml"), "machine: Tern", "lines may end in CRLF")

# -- the command line --------------------------------------------------------------------------
t.refused(tap.perpend("new", "a", "b"), 2, "new: one file at most; 'perpend new --help' says more",
          "two files")
run = talk_through({}, "--ascii", "ascii.yaml")
t.ok(run.text.isascii(), "--ascii keeps to ASCII")
for width in (60, 80):
    run = talk_through({}, f"width{width}.yaml", env=tap.environment(COLUMNS=width))
    t.ok(all(len(line) <= width for line in run.text.splitlines()), f"it fits {width} columns",
         [line for line in run.text.splitlines() if len(line) > width])

shutil.rmtree(folder)
t.done()
