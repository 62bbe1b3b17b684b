#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""perpend solve --json obeys docs/solve.schema.json: the demo and jobs that stir every part of it,
from files in mm and in inches. Needs python3-jsonschema; without it the checks are skipped."""
import copy
import json
import pathlib
import tempfile

import tap

try:
    import jsonschema
except ImportError:
    jsonschema = None

t = tap.Tap()
SCHEMA = json.loads((tap.ROOT / "docs" / "solve.schema.json").read_text())

MACHINE = """perpend: 1
machine: Bench "Tern" µ
unit: mm
arm: {length: 75, uncertainty: 0.5%, aim: 2}
gauge: {kind: gap, step: 0.05}
cutter: {diameter: 22}
"""
ROUND = MACHINE.replace("22}", "22, corner: 0.5}")
X = "facing: {stepover: 10, along: X, depth: 0.2}\n"
BOTH = "facing: {stepover: 45%, along: both}\n"
GOAL = "goal: {ridge: 0.02}\n"
FOUND = "bed: as found\n"
PLATE = """mount:
  - joint: clamp plate
    faces: front
    allows: [ALLOWS]
    bolts:
      - {name: top left,     at: [-30, 40, 210], thread: M5}
      - {name: top right,    at: [ 30, 40, 210], thread: M5}
      - {name: bottom left,  at: [-30, 40, 130], thread: M5}
      - {name: bottom right, at: [ 30, 40, 130], thread: M5, hole: 5.5}
"""
STOCK = "stock: [{thick: 0.05, count: 40}, {thick: 0.1, count: 40, name: foil}]\n"
FOUR = "at,reading\nfront,1.00\nright,0.70\nback,0\nleft,0.30\n"
THREE = "at,reading\n0,0.1\n120,0.2\n240,0.5\n"
EIGHT = "at,reading\n" + "".join(f"{45 * i},{r}\n" for i, r in enumerate(
    [0.10, 0.15, 0.10, 0.10, 0.05, 0.90, 0.10, 0.10]))
PLACES = "sweep,at,reading,x,y\n" + "".join(
    f"{name},{at},{1 + 0.002 * x - 0.001 * y + d},{x},{y}\n"
    for name, x, y in (("near", 0, 0), ("right", 200, 0), ("far", 0, 200))
    for at, d in (("front", 0.4), ("right", 0.2), ("back", 0), ("left", 0.2)))
JOB = """perpend: 1
sweeps:
  - name: as found
    readings: [{at: front, reading: 1}, {at: right, reading: 0.5}, {at: back, reading: 0},
               {at: left, reading: 0.5}]
    did: DID
  - name: after
    readings: [{at: front, reading: 0.55}, {at: right, reading: 0.5}, {at: back, reading: 0.45},
               {at: left, reading: 0.5}]
"""
SHIMS = ("[{joint: clamp plate, bolt: top left, shim: 0.5}, "
         "{joint: clamp plate, bolt: top right, shim: 0.5}]")


def plate(allows):
    return PLATE.replace("ALLOWS", allows)


CASES = [
    ("no mount, no goal", MACHINE + X, FOUR),
    ("three readings, a rounded bit", ROUND + X + GOAL, THREE),
    ("both ways", MACHINE + BOTH + GOAL, FOUR),
    ("bed as found", MACHINE + X + FOUND, FOUR),
    ("bed told apart", MACHINE + X + FOUND, PLACES),
    ("a suspect reading", MACHINE + X + GOAL, EIGHT),
    ("shims, no stock", MACHINE + X + GOAL + plate("shim"), FOUR),
    ("shims from stock", MACHINE + X + GOAL + plate("shim, slide") + STOCK, FOUR),
    ("slides", MACHINE + X + GOAL + plate("slide"), FOUR),
    ("screws", MACHINE + X + GOAL + plate("screw"), FOUR),
    ("as planned, then again", MACHINE + X + GOAL + plate("shim") + STOCK,
     JOB.replace("DID", "plan")),
    ("shims, then again", MACHINE + X + GOAL + plate("shim"), JOB.replace("DID", SHIMS)),
    ("nothing, then again", MACHINE + X + GOAL + plate("shim"), JOB.replace("DID", "nothing")),
    ("an exact sweep", MACHINE + X + GOAL + plate("shim"), FOUR.replace("0.70", "0.50").replace(
        "0.30", "0.50")),
]


def objects(schema):
    """Every part of the schema that describes an object."""
    if isinstance(schema, dict):
        if "properties" in schema:
            yield schema
        for part in schema.values():
            yield from objects(part)
    elif isinstance(schema, list):
        for part in schema:
            yield from objects(part)


def problem(answer):
    """What the schema finds wrong, or None."""
    validator = jsonschema.Draft202012Validator(SCHEMA)
    error = jsonschema.exceptions.best_match(validator.iter_errors(answer))
    return error and f"{error.json_path}: {error.message}"


def spoilt(answer):
    """The answer with one thing wrong, each time another."""
    for label, spoil in {
        "a key more": lambda m: m.update(extra=1),
        "a key less": lambda m: m.pop("ridge_x"),
        "a lean that is a word": lambda m: m["lean"].update(right="0"),
        "a bearing of 360": lambda m: m["lean"].update(toward=360.0),
        "an unknown verdict": lambda m: m["ridge"].update(verdict="nearly"),
        "a chance over one": lambda m: m["ridge"].update(chance=1.5),
        "a point of two": lambda m: m["plan"].update(tip=[0, 0]),
        "an unknown move": lambda m: m["plan"]["steps"][0].update(move="hammer"),
    }.items():
        copied = copy.deepcopy(answer)
        spoil(copied["measurements"][0])
        yield label, copied


def refuse_constant(name):
    raise ValueError(f"{name} is no JSON")


for part in objects(SCHEMA):
    keys = list(part["properties"])
    t.ok(part.get("additionalProperties") is False and part.get("required") == keys,
         f"the schema closes and requires all of {', '.join(keys)}")
if jsonschema is None:
    t.skip("answers against the schema", "python3-jsonschema is not there")
    t.done()
jsonschema.Draft202012Validator.check_schema(SCHEMA)


def keys_of(part):
    """Every key that the schema names, wherever."""
    found = set(part.get("properties", {})) if isinstance(part, dict) else set()
    for below in part.values() if isinstance(part, dict) else part if isinstance(part, list) else []:
        found |= keys_of(below)
    return found


page = (tap.ROOT / "docs/perpend-solve.1.scd").read_text(encoding="utf-8")
missing = {key for key in keys_of(SCHEMA) if f"*{key}*" not in page}
t.equal(missing, set(), "perpend-solve(1) names every key")
demo = json.loads(tap.perpend("solve", "--json", tap.TERN, tap.AS_FOUND).out)
t.equal(problem(demo), None, "the demo's answer")
for label, wrong in spoilt(demo):
    t.ok(problem(wrong) is not None, f"the schema finds {label}")
seen = set()
with tempfile.TemporaryDirectory() as folder:
    machine, readings = pathlib.Path(folder, "m.yaml"), pathlib.Path(folder, "r")
    for label, text, table in CASES:
        machine.write_text(text)
        readings.write_text(table)
        run = tap.perpend("solve", "--json", str(machine), str(readings))
        if not t.ok(run.status in (0, 1) and run.err == "", f"{label}: is solved", run.err):
            continue
        answer = json.loads(run.out, parse_constant=refuse_constant)
        t.equal(problem(answer), None, f"{label}: obeys the schema")
        for measurement in answer["measurements"]:
            seen |= {key for key in ("bed", "plan") if measurement[key] is not None}
            seen |= {"both"} if measurement["ridge"]["along"] is None else set()
            seen |= {measurement["ridge"]["verdict"]}
            seen |= {"suspect" for r in measurement["fit"]["residuals"] if r["suspect"]}
            for step in (measurement["plan"] or {"steps": []})["steps"]:
                seen |= {step["move"]}
                seen |= {"stack" for bolt in step["bolts"] if bolt["stack"]}
for part in ("bed", "plan", "both", "suspect", "shim", "slide", "screw", "stack", "met",
             "not met", None):
    t.ok(part in seen, f"the cases stir {part}", seen)
t.done()
