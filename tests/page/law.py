#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""law.py NATIVE PERPEND.html FOLDER [CASES]: the core in the page answers random machines and jobs with
the very bytes of the core built here: answer, words, pictures, record, and messages of what is wrong.
So it does with every file of the fuzz corpora."""
import json
import pathlib
import random
import subprocess
import sys
import time

native, page, folder = (pathlib.Path(word).resolve() for word in sys.argv[1:4])
cases = int(sys.argv[4]) if len(sys.argv) > 4 else 500
here = pathlib.Path(__file__).resolve().parent
draw = random.Random(16)


def length(low, high, digits=2):
    return round(draw.uniform(low, high), digits)


def joint(number):
    kind = draw.choice(["plate", "flat", "pair", "screws"])
    wide, high, at, up = length(20, 120), length(30, 150), length(0, 80), length(20, 200)
    corners = {
        "plate": [(-1, 0, 1), (1, 0, 1), (-1, 0, 0), (1, 0, 0)],
        "flat": [(-1, 1, 0), (1, 1, 0), (-1, -1, 0), (1, -1, 0)],
        "pair": [(-1, 0, 0), (1, 0, 0)],
        "screws": [(-1, 0, 1), (1, 0, 1), (-1, 0, 0), (1, 0, 0)],
    }[kind]
    bolts = [{"name": f"bolt {i + 1}", "thread": draw.choice(["M4", "M5", "M6", "M8"]),
              "at": [r * wide, at + b * high, up + h * high]} for i, (r, b, h) in enumerate(corners)]
    allows = {"plate": draw.choice([["shim"], ["shim", "slide"]]), "flat": ["shim"], "pair": ["slide"], "screws": ["screw"]}
    return {"joint": f"joint {number + 1}", "faces": "up" if kind == "flat" else "front", "allows": allows[kind], "bolts": bolts}


def machine():
    kind = draw.choice(["gap", "touch", "dial", "lever"])
    bit = length(6, 60)
    file = {
        "perpend": 1, "machine": draw.choice(["Tern", "Plover & <Dunlin>", "Säbel"]), "unit": "mm", "arm": length(40, 160),
        "gauge": {"kind": kind, "step": draw.choice([0.01, 0.02, 0.05])},
        "cutter": {"diameter": bit, "corner": draw.choice([0, 0, round(bit / 8, 2)])},
        "facing": {"stepover": round(bit * draw.uniform(0.2, 0.7), 2), "along": draw.choice(["X", "Y", "both", length(0, 90)]), "depth": length(0.1, 1)},
        "goal": {"ridge": draw.choice([0.005, 0.01, 0.02, 0.05])},
        "bed": draw.choice(["faced", "faced", "as found", "plate"]),
        "mount": [joint(i) for i in range(draw.choice([1, 1, 2]))],
    }
    if kind == "lever":
        file["gauge"]["angle"] = length(0, 40)
    if draw.random() < 0.6:
        file["stock"] = [{"thick": thick, "count": draw.randint(1, 12), "name": "brass"} for thick in draw.sample([0.05, 0.1, 0.2, 0.25, 0.5], 3)]
    if draw.random() < 0.1:
        del file["goal"]
    return file


def sweep(name, file, lean):
    step = file["gauge"]["step"]
    sign = -1 if file["gauge"]["kind"] != "gap" else 1
    bearings = {"front": (0, -1), "right": (1, 0), "back": (0, 1), "left": (-1, 0)}
    readings = []
    for at, (right, back) in bearings.items():
        gap = 1.5 - file["arm"] * (lean[0] * right + lean[1] * back) / 1000 + draw.gauss(0, step / 3)
        readings.append({"at": at, "reading": round(round(sign * gap / step) * step, 4)})
    return {"name": name, "x": length(0, 300, 0), "y": length(0, 300, 0), "readings": readings}


def job(file):
    lean = [draw.uniform(-8, 8), draw.uniform(-8, 8)]
    sweeps = []
    for i in range(draw.randint(1, 3)):
        sweeps.append(sweep(f"sweep {i + 1}", file, lean))
        if i and draw.random() < 0.3:
            continue
        sweeps[-1]["did"] = draw.choice(["plan", "plan", "nothing"])
        lean = [one * draw.uniform(0.1, 0.6) for one in lean]
    if draw.random() < 0.05:
        sweeps[0]["readings"][0]["reading"] = draw.choice(["0,5", "o.5", "", "1e9"])
    if draw.random() < 0.05:
        del sweeps[-1]["readings"][2:]
    return {"perpend": 1, "sweeps": sweeps}


folder.mkdir(parents=True, exist_ok=True)
asked = []
for number in range(cases):
    one = machine()
    names = folder / f"{number}-machine.yaml", folder / f"{number}-job.yaml"
    for name, file in zip(names, (one, job(one))):
        name.write_text(json.dumps(file, indent=1, ensure_ascii=False))
    begun = json.loads(names[1].read_text())
    if len(begun["sweeps"]) > 1 and number % 4 == 1:  # its first sweep alone, as it was asked then
        part = folder / f"{number}-begun.yaml"
        part.write_text(json.dumps({**begun, "sweeps": begun["sweeps"][:1]}, ensure_ascii=False))
        asked.append(f"answer\t{names[0]}\t{part}")
    asked += [f"{what}\t{names[0]}\t{names[1]}" for what in (["answer", "record"] if number % 4 == 0 else ["answer"])]
    questions = folder / f"{number}-lean.yaml", folder / f"{number}-mount.yaml"
    questions[0].write_text(json.dumps({"perpend": 1, "right": length(-9, 9), **({"back": length(-9, 9)} if number % 3 else {})}))
    shapes = draw.sample(["plate", "pair", "sides", "flange", "hangs", "round", "swivel", "column", "screws", "lid"], draw.randint(1, 4))
    questions[1].write_text(json.dumps({"perpend": 1, "unit": draw.choice(["mm", "in"]), "joints": [
        {"shape": shape, "across": length(1, 90), "deep": length(1, 90), "high": length(1, 90), "above": length(1, 90), "behind": length(1, 90),
         "thread": "M5"} for shape in shapes]}))
    asked += [f"ridge\t{names[0]}\t{questions[0]}", f"mount\t{questions[1]}"]
tern = here.parents[1] / "examples" / "tern.yaml"
for name in sorted((here.parent / "fuzz" / "corpus").rglob("*")):
    if name.is_file() and name.stat().st_size > 0 and b"\0" not in name.read_bytes():
        asked += [f"answer\t{name}", f"answer\t{tern}\t{name}", f"read\t{name}\t{tern}"]

# The other way round on one side: what a core has answered before must not show in what it answers.
replies, seconds = [], []
for command, order in (([native], asked[::-1]), (["node", "--no-warnings", here / "page.mjs", page], asked)):
    began = time.monotonic()
    done = subprocess.run(command, input="\n".join(order), capture_output=True, text=True)
    seconds.append(time.monotonic() - began)
    if done.returncode != 0:
        sys.exit(f"{command[0]} failed: {done.stderr[-2000:]}")
    replies.append(done.stdout.split("\n\n")[:-1][::1 if order is asked else -1])
if len(replies[0]) != len(asked) or len(replies[1]) != len(asked):
    sys.exit(f"{len(asked)} asked, {len(replies[0])} and {len(replies[1])} answered")
differ = [line for line, a, b in zip(asked, *replies) if a != b]
for line in differ[:5]:
    a, b = (one[asked.index(line)] for one in replies)
    at = next(i for i, (x, y) in enumerate(zip(a, b)) if x != y)
    print(f"{line}\n  here  …{a[max(0, at - 60):at + 40]!r}\n  there …{b[max(0, at - 60):at + 40]!r}")
solved = sum('"solution": {' in one or '"solution":{' in one for one in replies[0])
print(f"{len(asked)} asked, {solved} of them solved: {len(differ)} differ; {seconds[0]:.1f} s here, {seconds[1]:.1f} s in the page's core")
sys.exit(1 if differ or solved < cases * 0.5 else 0)
