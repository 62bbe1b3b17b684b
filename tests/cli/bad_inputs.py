#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Bad input to perpend solve: each ends in status 2, nothing on standard output and one line on
standard error that names the place, the thing and the way out. The line is checked to the letter;
it stands here less its "perpend: " and the file's name."""
import os
import pathlib
import tempfile
import threading

import tap

t = tap.Tap()
SECTIONS = {
    "perpend": "perpend: 1",
    "arm": "arm: 75",
    "gauge": "gauge: {kind: gap, step: 0.05}",
    "cutter": "cutter: {diameter: 22, corner: 0}",
    "facing": "facing: {stepover: 10, along: X}",
}


def machine(*more, **changed):
    """A machine file of five lines, some of them changed (out when empty), and more below."""
    lines = [changed.get(name, line) for name, line in SECTIONS.items()]
    return "\n".join([line for line in lines if line] + list(more)) + "\n"


A = "{name: a, at: [-30, 40, 210]}"
B = "{name: b, at: [30, 40, 210]}"
PLATE = ("{joint: Plate, faces: up, allows: shim, "
         "bolts: [{name: a, at: [0, 0, 0]}, {name: b, at: [1, 0, 0]}]}")


def mount(joint="joint: plate", faces="faces: front", allows="allows: [shim]", bolts=(A, B),
          tail=()):
    """A machine file whose mount has one joint, from line 7 on; its bolts from line 11."""
    lines = [line for line in (joint, faces, allows) if line]
    return machine("mount:", "  - " + lines[0], *("    " + line for line in lines[1:]),
                   "    bolts:", *("      - " + bolt for bolt in bolts), *tail)


MACHINES = [
    ("an unknown key", machine("colour: red"),
     ':6: unknown key "colour"; a machine file takes perpend, unit, machine, arm, gauge, '
     'cutter, facing, goal, bed, mount and stock'),
    ("a mistyped key", machine("goel: {ridge: 0.02}"),
     ':6: unknown key "goel"; did you mean goal?'),
    ("a mistyped key in a section", machine(facing="facing: {stepovr: 10, along: X}"),
     ':5: facing: unknown key "stepovr"; did you mean stepover?'),
    ("an unknown key in a section", machine(gauge="gauge: {kind: gap, step: 0.05, brand: none}"),
     ':3: gauge: unknown key "brand"; gauge takes kind, step, rises, angle and spread'),
    ("no version", machine(perpend=""),
     ':1: perpend is missing; begin the file with "perpend: 1", the format it is written in'),
    ("another version", machine(perpend="perpend: 2"),
     ':1: perpend "2" is a format this program does not know; it reads format 1'),
    ("a version that is a list", machine(perpend="perpend: [1]"),
     ":1: perpend must be a single value, not a list"),
    ("no arm", machine(arm=""),
     ":1: arm is missing; a machine file needs perpend, arm, gauge, cutter and facing"),
    ("no gauge", machine(gauge=""),
     ":1: gauge is missing; a machine file needs perpend, arm, gauge, cutter and facing"),
    ("no cutter", machine(cutter=""),
     ":1: cutter is missing; a machine file needs perpend, arm, gauge, cutter and facing"),
    ("no facing", machine(facing=""),
     ":1: facing is missing; a machine file needs perpend, arm, gauge, cutter and facing"),
    ("no step", machine(gauge="gauge: {kind: gap}"),
     ":3: gauge: step is missing; gauge needs kind and step"),
    ("no kind", machine(gauge="gauge: {step: 0.05}"),
     ":3: gauge: kind is missing; gauge needs kind and step"),
    ("no diameter", machine(cutter="cutter: {corner: 0}"),
     ":4: cutter: diameter is missing; cutter needs diameter"),
    ("no stepover", machine(facing="facing: {along: X}"),
     ":5: facing: stepover is missing; facing needs stepover and along"),
    ("no along", machine(facing="facing: {stepover: 10}"),
     ":5: facing: along is missing; facing needs stepover and along"),
    ("a key twice", machine("arm: 80"),
     ':6: the key "arm" stands twice, first on line 2; remove one'),
    ("a key twice in a section", machine(gauge="gauge: {kind: gap, step: 0.05, step: 0.1}"),
     ':3: the key "step" stands twice, first on line 3; remove one'),
    ("an unknown unit", machine("unit: cm"),
     ':6: unit "cm" is unknown; use mm or in'),
    ("an unknown gauge", machine(gauge="gauge: {kind: laser, step: 0.05}"),
     ':3: gauge: kind "laser" is unknown; use gap, touch, dial or lever'),
    ("rises on a gauge that does not",
     machine(gauge="gauge: {kind: gap, step: 0.05, rises: toward}"),
     ":3: gauge: rises belongs to the kinds dial and lever; remove it, or set the kind"),
    ("an unknown way to rise", machine(gauge="gauge: {kind: dial, step: 0.01, rises: up}"),
     ':3: gauge: rises "up" is unknown; use toward or away'),
    ("angle on a dial", machine(gauge="gauge: {kind: dial, step: 0.01, angle: 10}"),
     ":3: gauge: angle belongs to the kind lever; remove it, or set the kind"),
    ("an angle too steep", machine(gauge="gauge: {kind: lever, step: 0.01, angle: 75}"),
     ':3: gauge: angle "75" is out of range; use 0 to 60 degrees'),
    ("an angle that is none", machine(gauge="gauge: {kind: lever, step: 0.01, angle: steep}"),
     ':3: gauge: angle "steep" is not a number; use 0 to 60 degrees'),
    ("a negative spread", machine(gauge="gauge: {kind: gap, step: 0.05, spread: -0.01}"),
     ':3: gauge: spread "-0.01" must be 0 or more; check it'),
    ("a step of nothing", machine(gauge="gauge: {kind: gap, step: 0}"),
     ':3: gauge: step "0" must be more than 0; check it'),
    ("a step too coarse", machine(gauge="gauge: {kind: gap, step: 50}"),
     ':3: gauge: step "50" is over 10 mm; check the number and its unit'),
    ("a gauge that is a word", machine(gauge="gauge: feelers"),
     ":3: gauge must be keys and values, such as {kind: gap, step: 0.05}"),
    ("an arm of nothing", machine(arm="arm: 0"),
     ':2: arm "0" is under 1 mm; check the number and its unit'),
    ("an arm that is too long", machine(arm="arm: 75000"),
     ':2: arm "75000" is over 2000 mm; check the number and its unit'),
    ("an arm in furlongs", machine(arm="arm: 5 furlongs"),
     ':2: arm "5 furlongs" has an unknown unit; use mm, um, in, " or thou'),
    ("an arm of two points", machine(arm="arm: 1.2.3"),
     ':2: arm "1.2.3" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or 1/4 in'),
    ("an arm that is not a number", machine(arm="arm: nan"),
     ':2: arm "nan" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or 1/4 in'),
    ("an arm beyond all numbers", machine(arm="arm: 1e999"),
     ':2: arm "1e999" is too large; check it'),
    ("an arm with no value", machine(arm="arm:"),
     ":2: arm has no value; write one behind the colon"),
    ("an arm over nothing", machine(arm="arm: 75/0"),
     ':2: arm "75/0" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or 1/4 in'),
    ("an arm that is a list", machine(arm="arm: [75]"),
     ":2: arm must be keys and values, such as {length: 75, uncertainty: 0.5%}"),
    ("an arm without length", machine(arm="arm: {aim: 2}"),
     ":2: arm: length is missing; arm needs length"),
    ("an arm known to half", machine(arm="arm: {length: 75, uncertainty: 50%}"),
     ':2: arm: uncertainty "50%" must be 0 to 20% of the arm\'s length; measure the arm'),
    ("an arm less than known", machine(arm="arm: {length: 75, uncertainty: -1}"),
     ':2: arm: uncertainty "-1" must be 0 or more; check it'),
    ("an arm aimed anywhere", machine(arm="arm: {length: 75, aim: 45}"),
     ':2: arm: aim "45" is out of range; use 0 to 30 degrees'),
    ("a cutter of nothing", machine(cutter="cutter: {diameter: 0}"),
     ':4: cutter: diameter "0" must be more than 0; check it'),
    ("a negative cutter", machine(cutter="cutter: {diameter: -22}"),
     ':4: cutter: diameter "-22" must be more than 0; check it'),
    ("a corner beyond a ball", machine(cutter="cutter: {diameter: 22, corner: 11.5}"),
     ":4: cutter: corner is more than half the diameter (11 mm); a ball end has exactly half"),
    ("a negative corner", machine(cutter="cutter: {diameter: 22, corner: -1}"),
     ':4: cutter: corner "-1" must be 0 or more; check it'),
    ("a stepover of the whole cutter", machine(facing="facing: {stepover: 22, along: X}"),
     ':5: facing: stepover "22" is not under the cutter\'s diameter (22 mm); stripes would '
     'stand'),
    ("a stepover of more than all", machine(facing="facing: {stepover: 120%, along: X}"),
     ':5: facing: stepover "120%" is not under the cutter\'s diameter (22 mm); stripes would '
     'stand'),
    ("a stepover of nothing", machine(facing="facing: {stepover: 0%, along: X}"),
     ':5: facing: stepover "0%" must be more than 0; check it'),
    ("a stepover of some", machine(facing="facing: {stepover: some, along: X}"),
     ':5: facing: stepover "some" is not a length; write a number such as 0.05, 0.05 mm, 2 '
     'thou or 1/4 in'),
    ("a feed straight up", machine(facing="facing: {stepover: 10, along: Z}"),
     ':5: facing: along "Z" is unknown; use X, Y, both, a name such as right, or -360 to 360 '
     'degrees'),
    ("a feed beyond a turn", machine(facing="facing: {stepover: 10, along: 400}"),
     ':5: facing: along "400" is unknown; use X, Y, both, a name such as right, or -360 to 360 '
     'degrees'),
    ("a depth of nothing", machine(facing="facing: {stepover: 10, along: X, depth: 0}"),
     ':5: facing: depth "0" must be more than 0; check it'),
    ("a goal without its key", machine("goal: 0.02"),
     ":6: goal must be keys and values, such as {ridge: 0.02}"),
    ("a goal of nothing", machine("goal: {ridge: 0}"),
     ':6: goal: ridge "0" must be more than 0; check it'),
    ("a bed unheard of", machine("bed: wooden"),
     ':6: bed "wooden" is unknown; use faced or as found'),
    ("a decimal comma in braces", machine(gauge="gauge: {kind: gap, step: 0,05}"),
     ':3: gauge: step 0,05 is split in two at its comma here; write a point, or quotes: "0,05"'),
    ("a decimal comma with a unit in braces",
     machine(cutter="cutter: {diameter: 22,5 mm, corner: 0}"),
     ':4: cutter: diameter 22,5 mm is split in two at its comma here; write a point, or '
     'quotes: "22,5 mm"'),
    ("a decimal comma in brackets", mount(bolts=["{name: a, at: [-30,5, 40, 210]}", B]),
     ":11: mount: joint 1: bolt 1: at must be three lengths, [right, back, up]; it has 4 (a "
     "decimal comma splits a number here; write a point)"),
    ("two lengths for three", mount(bolts=["{name: a, at: [-30, 40]}", B]),
     ":11: mount: joint 1: bolt 1: at must be three lengths, [right, back, up]; it has 2"),
    ("a point that is a word", mount(bolts=["{name: a, at: top}", B]),
     ":11: mount: joint 1: bolt 1: at must be three lengths in brackets, [right, back, up]"),
    ("a length that is none", mount(bolts=["{name: a, at: [-30, 40, high]}", B]),
     ':11: mount: joint 1: bolt 1: at, up, "high" is not a length; write a number such as '
     '0.05, 0.05 mm, 2 thou or 1/4 in'),
    ("a bolt in the next village", mount(bolts=["{name: a, at: [-30, 40, 20000]}", B]),
     ':11: mount: joint 1: bolt 1: at, up, "20000" is over 10000 mm; check the number and its '
     'unit'),
    ("one bolt", mount(bolts=["{name: a, at: [-30, 40, 210]}"]),
     ":11: mount: joint 1: bolts needs 2 or more and has 1; write one bolt behind each dash"),
    ("two bolts of one name", mount(bolts=["{name: b, at: [-30, 40, 210]}", B]),
     ':12: mount: joint 1: bolt 2: name "b" is bolt 1\'s already; give each its own'),
    ("two bolts at one place", mount(bolts=["{name: a, at: [30, 40, 210]}", B]),
     ":12: mount: joint 1: bolt 2: at is where bolt 1 is; measure both again"),
    ("a bolt without a name", mount(bolts=["{at: [-30, 40, 210]}", B]),
     ":11: mount: joint 1: bolt 1: name is missing; a bolt needs name and at"),
    ("a bolt without a place", mount(bolts=["{name: a}", B]),
     ":11: mount: joint 1: bolt 1: at is missing; a bolt needs name and at"),
    ("a thread that is none", mount(bolts=["{name: a, at: [-30, 40, 210], thread: wood}", B]),
     ':11: mount: joint 1: bolt 1: thread "wood" is not one; use M5, M5x0.5, 1/4-20 or the '
     'diameter as a length'),
    ("a thread of half a metre", mount(bolts=["{name: a, at: [-30, 40, 210], thread: M500}", B]),
     ':11: mount: joint 1: bolt 1: thread "M500" is out of range; check it'),
    ("a hole less than its thread",
     mount(bolts=["{name: a, at: [-30, 40, 210], thread: M5, hole: 4}", B]),
     ":11: mount: joint 1: bolt 1: hole is smaller than its thread (5 mm); check both"),
    ("a hole without a thread", mount(bolts=["{name: a, at: [-30, 40, 210], hole: 5.5}", B]),
     ":11: mount: joint 1: bolt 1: hole needs the thread too; the play is the difference of "
     "both"),
    ("a slide of unknown play", mount(allows="allows: slide"),
     ":11: mount: joint 1: bolt 1: thread is missing; a joint that slides needs it, for the "
     "play in the holes"),
    ("a slide of no standard hole",
     mount(allows="allows: slide", bolts=["{name: a, at: [-30, 40, 210], thread: 1/4 in}", B]),
     ":11: mount: joint 1: bolt 1: thread has no standard hole (ISO 273, M2 to M16); add hole, "
     "as measured"),
    ("a screw of unknown pitch", mount(allows="allows: [screw]"),
     ":11: mount: joint 1: bolt 1: thread is missing; a joint with push screws needs it, or "
     "the pitch"),
    ("a screw of no standard pitch",
     mount(allows="allows: [screw]", bolts=["{name: a, at: [-30, 40, 210], thread: 5.1}", B]),
     ":11: mount: joint 1: bolt 1: thread has no standard pitch (ISO 261, M2 to M16); add pitch"),
    ("a joint without a name", mount(joint=""),
     ":7: mount: joint 1: joint is missing; a joint needs joint, faces, allows and bolts"),
    ("a joint that faces nowhere", mount(faces=""),
     ":7: mount: joint 1: faces is missing; a joint needs joint, faces, allows and bolts"),
    ("a joint that faces north", mount(faces="faces: north"),
     ':8: mount: joint 1: faces "north" is unknown; use front, back, left, right, up or down'),
    ("a joint that allows glue", mount(allows="allows: [shim, glue]"),
     ':9: mount: joint 1: allows "glue" is unknown; use shim, slide or screw'),
    ("a joint that allows nothing", mount(allows="allows: []"),
     ":9: mount: joint 1: allows is empty; use [shim], [slide], [screw] or several of them"),
    ("a joint that allows a thing twice", mount(allows="allows: [shim, shim]"),
     ":9: mount: joint 1: allows names shim twice; once will do"),
    ("two joints of one name", mount(tail=["  - " + PLATE]),
     ':13: mount: joint 2: joint "Plate" is the name of joint 1 already; give each its own'),
    ("a mount that is no list", machine("mount: {joint: plate}"),
     ":6: mount must be a list, one joint behind each dash"),
    ("no joints", machine("mount: []"),
     ":6: mount needs 1 or more and has 0; write one joint behind each dash"),
    ("a leaf of unknown count", machine("stock: [{thick: 0.05}]"),
     ":6: stock: leaf 1: count is missing; a leaf needs thick and count"),
    ("half a leaf", machine("stock: [{thick: 0.05, count: 1.5}]"),
     ':6: stock: leaf 1: count "1.5" must be a whole number of leaves'),
    ("fewer leaves than none", machine("stock: [{thick: 0.05, count: -1}]"),
     ':6: stock: leaf 1: count "-1" is out of range; use 0 to 1000'),
    ("a leaf of no thickness", machine("stock: [{thick: 0, count: 1}]"),
     ':6: stock: leaf 1: thick "0" is under 0.0005 mm; check the number and its unit'),
    ("a name of a megabyte", machine("machine: " + "n" * 1000000),
     ':6: machine is 1000000 bytes long; at most 4096 are taken'),
    ("a name of 121 bytes", machine("machine: " + "n" * 121),
     ":6: machine is 121 bytes long; at most 120 are taken"),
    ("a name that colours the terminal", machine('machine: "\\e[31mred"'),
     ":6: machine has a line break or a control character; write it on one line, in plain "
     "letters"),
    ("a value that colours the terminal", machine('bed: "\\e[31mred"'),
     ':6: bed "?[31mred" is unknown; use faced or as found'),
    ("a key that colours the terminal", machine('"\\e[31mred": 1'),
     ':6: unknown key "?[31mred"; a machine file takes perpend, unit, machine, arm, gauge, '
     'cutter, facing, goal, bed, mount and stock'),
    ("a value of two lines", machine('machine: "two\\nlines"'),
     ":6: machine has a line break or a control character; write it on one line, in plain "
     "letters"),
    ("a tab", machine(gauge="gauge:\n\tkind: gap"),
     ":4: the line starts with a tab; indent with spaces"),
    ("a bracket left open", machine("stock: [{thick: 0.05, count: 1}"),
     ":7: a comma or ] is missing in the list that began on line 6; add it"),
    ("a quote left open", machine('machine: "Tern'),
     ":7: the quote opened on line 6 is never closed; add one"),
    ("a colon too many", machine("machine: Tern: the second"),
     ":6: a colon does not belong here; put a text that holds one in quotes, line up the keys"),
    ("lines that do not line up", machine(gauge="gauge:\n    kind: gap\n  step: 0.05"),
     ":5: this does not fit in with the keys that began on line 1; check indentation and quotes"),
    ("an anchor", machine("stock: &s [{thick: 0.05, count: 1}]"),
     ":6: anchors and aliases (& and *) are not taken; write the value out"),
    ("an alias", machine("stock: *s"),
     ":6: anchors and aliases (& and *) are not taken; write the value out"),
    ("aliases that explode", "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n",
     ":1: anchors and aliases (& and *) are not taken; write the value out"),
    ("a tag", machine("machine: !!binary aGk="),
     ":6: tags (!) are not taken; put the value in quotes if it is meant as text"),
    ("a merge key", machine("<<: {goal: 1}"),
     ':6: unknown key "<<"; a machine file takes perpend, unit, machine, arm, gauge, cutter, '
     'facing, goal, bed, mount and stock'),
    ("a key that is a list", machine("? [a, b]\n: 1"),
     ':6: a key must be plain text, such as "arm"'),
    ("a second document", machine("---\nperpend: 1"),
     ":6: a second document starts here; put it in its own file"),
    ("a directive", "%YAML 3.0\n---\n" + machine(),
     ":1: this version of YAML is not known; remove the line"),
    ("brackets without end", machine("stock: " + "[" * 10000),
     ":6: nested too deeply; no key needs so many levels"),
    ("keys without end", machine(*(f"key{i}: 1" for i in range(1000))),
     ":33: too many keys in one mapping; check the indentation"),
    ("a million entries and a half", machine("stock: [" + "a," * 1500000 + "]"),
     ":6: the file has too many entries; a job holds at most 100000 readings"),
    ("a million bolts", mount(bolts=["{}"] * 1000000),
     ":11: mount: joint 1: bolts has 1000000; at most 64 are taken"),
    ("a key of a megabyte", machine("k" * 1000000 + ": 1"),
     ":6: the key on line 6 has no colon behind it; add one"),
    ("a quoted key of a megabyte", machine('? "' + "k" * 1000000 + '"\n: 1'),
     ":6: a key or a value is 1000000 bytes long; at most 4096 are taken"),
    ("a NUL in quotes", machine('machine: "a\\0b"'),
     ":6: machine holds a NUL character; remove it"),
    ("a tag directive", "%TAG ! tag:a\n%TAG ! tag:b\n---\n" + machine(),
     ":2: a line that begins with % is not taken; remove it"),
    ("a list for a machine", "- arm: 75\n",
     ':1: must be keys and values, such as "perpend: 1"; is it the right file?'),
    ("a word for a machine", "Tern\n",
     ':1: must be keys and values, such as "perpend: 1"; is it the right file?'),
    ("only comments", "# nothing yet\n",
     ": nothing but comments; is it the right file?"),
    ("an empty mapping", "{}\n",
     ':1: perpend is missing; begin the file with "perpend: 1", the format it is written in'),
    ("a job file for a machine", "perpend: 1\nsweeps:\n  - readings: [{at: front, reading: 1}]\n",
     ":2: this is a job file (it has sweeps); give the machine file first, then the readings"),
    ("a table for a machine", "at,reading\nfront,1\n",
     ':1: must be keys and values, such as "perpend: 1"; is it the right file?'),
]

JOB = "perpend: 1\nsweeps:\n"
READINGS = "readings: [{at: front, reading: 1}, {at: right, reading: 1}, {at: back, reading: 1}]"
SHIM = "      - {joint: clamp plate, bolt: top left, shim: 1}\n"
JOBS = [
    ("no sweeps", "perpend: 1\n",
     ":1: sweeps is missing; a job file needs perpend and sweeps"),
    ("an empty list of sweeps", "perpend: 1\nsweeps: []\n",
     ":2: sweeps needs 1 or more and has 0; write one sweep behind each dash"),
    ("no version in a job", "sweeps:\n  - " + READINGS + "\n",
     ':1: perpend is missing; begin the file with "perpend: 1", the format it is written in'),
    ("another version of a job", "perpend: 3\nsweeps:\n  - " + READINGS + "\n",
     ':1: perpend "3" is a format this program does not know; it reads format 1'),
    ("sweeps that are no list", "perpend: 1\nsweeps: {name: a}\n",
     ":2: sweeps must be a list, one sweep behind each dash"),
    ("a sweep that is a word", JOB + "  - as found\n",
     ':3: sweep 1: a sweep must be keys and values, such as "name: as found"'),
    ("a sweep without readings", JOB + "  - name: as found\n",
     ":3: sweep 1: readings is missing; a sweep needs readings"),
    ("a sweep with no reading", JOB + "  - readings: []\n",
     ":3: sweep 1: readings needs 1 or more and has 0; write one reading behind each dash"),
    ("a key misspelt in a sweep", JOB + "  - nmae: a\n    " + READINGS + "\n",
     ':3: sweep 1: unknown key "nmae"; did you mean name?'),
    ("a key unknown in a job", "perpend: 1\ndate: today\nsweeps:\n  - " + READINGS + "\n",
     ':2: unknown key "date"; a job file takes perpend and sweeps'),
    ("a reading that is a number", JOB + "  - readings: [1, 2, 3]\n",
     ":3: sweep 1: reading 1: a reading must be keys and values, such as {at: front, reading: "
     "0.5}"),
    ("a reading without a bearing", JOB + "  - readings: [{reading: 1}]\n",
     ":3: sweep 1: reading 1: at is missing; a reading needs at and reading"),
    ("a bearing without a reading", JOB + "  - readings: [{at: front}]\n",
     ":3: sweep 1: reading 1: reading is missing; a reading needs at and reading"),
    ("a reading with no value", JOB + "  - readings: [{at: front, reading: }]\n",
     ":3: sweep 1: reading 1: reading has no value; write one behind the colon"),
    ("a decimal comma in a reading", JOB + "  - readings: [{at: front, reading: 1,25}]\n",
     ':3: sweep 1: reading 1: reading 1,25 is split in two at its comma here; write a point, '
     'or quotes: "1,25"'),
    ("a bearing up", JOB + "  - readings: [{at: up, reading: 1}]\n",
     ':3: sweep 1: reading 1: at "up" is not a bearing; use front, back, left, right, '
     'back-right …, N, NE … or degrees'),
    ("a bearing beyond a turn", JOB + "  - readings: [{at: 720, reading: 1}]\n",
     ':3: sweep 1: reading 1: at "720" is beyond a full turn; use -360 to 360 degrees'),
    ("a reading of many kilometres", JOB + "  - readings: [{at: front, reading: 1e7}]\n",
     ':3: sweep 1: reading 1: reading "1e7" is over 10000 mm; check the number and its unit'),
    ("two sweeps of one name", JOB + ("  - name: a\n    " + READINGS + "\n") * 2,
     ':5: sweep 2: name "a" is the name of sweep 1 already; give each its own'),
    ("a place that is a word", JOB + "  - x: left\n    " + READINGS + "\n",
     ':3: sweep 1: x "left" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or '
     '1/4 in'),
    ("did as a word unknown", JOB + "  - " + READINGS + "\n    did: something\n",
     ':4: sweep 1: did "something" is unknown; use plan or nothing'),
    ("did as a mapping", JOB + "  - " + READINGS + "\n    did: {joint: clamp plate}\n",
     ":4: sweep 1: did must be plan, nothing, or a list of entries, each behind a dash"),
    ("did with no entry", JOB + "  - " + READINGS + "\n    did: []\n",
     ":4: sweep 1: did needs 1 or more and has 0; write one entry behind each dash"),
    ("did at a joint unknown",
     JOB + "  - " + READINGS + "\n    did: [{joint: column, bolt: top left, shim: 1}]\n",
     ':4: sweep 1: did 1: unknown joint "column"; the mount has clamp plate'),
    ("did at a joint misspelt",
     JOB + "  - " + READINGS + "\n    did: [{joint: clam plate, bolt: top left, shim: 1}]\n",
     ':4: sweep 1: did 1: unknown joint "clam plate"; did you mean "clamp plate"?'),
    ("did at a bolt unknown",
     JOB + "  - " + READINGS + "\n    did: [{joint: clamp plate, bolt: middle, shim: 1}]\n",
     ':4: sweep 1: did 1: unknown bolt "middle"; clamp plate has top left, top right, bottom '
     'left and bottom right'),
    ("did without a joint", JOB + "  - " + READINGS + "\n    did: [{bolt: top left, shim: 1}]\n",
     ":4: sweep 1: did 1: joint is missing; an entry of did needs joint and bolt"),
    ("did without what",
     JOB + "  - " + READINGS +
     "\n    did: [{joint: clamp plate, bolt: top left}]\n",
     ":4: sweep 1: did 1: says nothing about what was done; say one of shim, slide and turns "
     "in each entry"),
    ("did two things at once",
     JOB + "  - " + READINGS +
     "\n    did: [{joint: clamp plate, bolt: top left, shim: 1, turns: 1}]\n",
     ":4: sweep 1: did 1: says more than one thing; say one of shim, slide and turns in each "
     "entry"),
    ("did one thing twice", JOB + "  - " + READINGS + "\n    did:\n" + SHIM * 2,
     ":6: sweep 1: did 2: the same bolt's shim stands in entry 1 already; write their sum once"),
    ("did a shim as thick as a hand",
     JOB + "  - " + READINGS + "\n    did: [{joint: clamp plate, bolt: top left, shim: 101}]\n",
     ':4: sweep 1: did 1: shim "101" is over 100 mm; check the number and its unit'),
    ("did a slide to the right",
     JOB + "  - " + READINGS + "\n    did: [{joint: clamp plate, bolt: top left, slide: 0.1}]\n",
     ":4: sweep 1: did 1: slide must be three lengths in brackets, [right, back, up]"),
    ("did turns without number",
     JOB + "  - " + READINGS + "\n    did: [{joint: clamp plate, bolt: top left, turns: a few}]\n",
     ':4: sweep 1: did 1: turns "a few" is not a number; use -1000 to 1000'),
    ("the machine for the readings", machine(),
     ":1: this is a machine file (it has a gauge); give the readings second"),
    ("100001 readings", JOB + "  - readings:\n" + "    - {at: front, reading: 1}\n" * 100001,
     ":4: sweep 1: readings has 100001; at most 100000 are taken"),
    ("a million readings", JOB + "  - readings:\n" + "    - {at: front, reading: 1}\n" * 1000000,
     ":500002: the file has too many entries; a job holds at most 100000 readings"),
    ("1001 sweeps", JOB + "  - readings: [{at: 0, reading: 1}]\n" * 1001,
     ":3: sweeps has 1001; at most 1000 are taken"),
    ("a note of a book", JOB + "  - " + READINGS + "\n    note: " + "n" * 2001 + "\n",
     ":4: sweep 1: note is 2001 bytes long; at most 2000 are taken"),
]

TABLES = [
    ("no header", "front,1\nright,1\nback,1\n",
     ':1: unknown column "front"; the first line must name the columns, of sweep, at, reading, '
     'x and y'),
    ("a header misspelt", "at,readings\nfront,1\n",
     ':1: unknown column "readings"; the first line must name the columns, of sweep, at, '
     'reading, x and y'),
    ("a column unknown", "at,reading,temperature\nfront,1,20\n",
     ':1: unknown column "temperature"; the first line must name the columns, of sweep, at, '
     'reading, x and y'),
    ("a column twice", "at,at,reading\nfront,front,1\n",
     ':1: column "at" stands twice; remove one'),
    ("no bearings", "sweep,reading\na,1\n",
     ':1: column "at" is missing; a table of readings needs at and reading'),
    ("no readings column", "sweep,at\na,front\n",
     ':1: column "reading" is missing; a table of readings needs at and reading'),
    ("x without y", "at,reading,x\nfront,1,0\n",
     ":1: column x goes with column y; add the other, or remove it"),
    ("a header alone", "at,reading\n",
     ":2: no readings below the header; write one in each row"),
    ("a field too few", "sweep,at,reading\na,front\n",
     ":2: 2 fields where the header has 3; fill in the row"),
    ("a field too many", "at,reading\nfront,1,2\n",
     ':2: more fields than the header\'s 2; put a decimal comma in quotes ("0,05"), or '
     'separate by semicolons'),
    ("a field too many among semicolons", "at;reading\nfront;1;2\n",
     ":2: more fields than the header's 2; check the separators"),
    ("a field empty", "at,reading\nfront,\n",
     ":2: reading has no value; write a length such as 0.05 or 1/4 in"),
    ("a bearing empty", "at,reading\n,1\n",
     ":2: at has no value; write a bearing such as front, NE or 45"),
    ("a bearing unknown", "at,reading\nfront,1\nnowhere,1\n",
     ':3: at "nowhere" is not a bearing; use front, back, left, right, back-right …, N, NE … '
     'or degrees'),
    ("a bearing beyond", "at,reading\n-361,1\n",
     ':2: at "-361" is beyond a full turn; use -360 to 360 degrees'),
    ("a reading unread", "at,reading\nfront,about 1\n",
     ':2: reading "about 1" is not a length; write a number such as 0.05, 0.05 mm, 2 thou or '
     '1/4 in'),
    ("a reading in furlongs", "at,reading\nfront,1 furlong\n",
     ':2: reading "1 furlong" has an unknown unit; use mm, um, in, " or thou'),
    ("a reading beyond all numbers", "at,reading\nfront,1e999\n",
     ':2: reading "1e999" is too large; check it'),
    ("a place beyond", "at,reading,x,y\nfront,1,20000,0\n",
     ':2: x "20000" is over 10000 mm; check the number and its unit'),
    ("a quote unclosed", "at,reading\n\"front,1\n",
     ":2: a quote is opened and never closed; add one, or remove it"),
    ("a quote and more", "at,reading\n\"front\"s,1\n",
     ':2: something follows a closing quote; write a quote within quotes twice ("")'),
    ("a sweep without a name", "sweep,at,reading\n,front,1\n",
     ":2: sweep must be a name on one line, of 1 to 120 bytes"),
    ("a sweep of two lines", "sweep,at,reading\n\"a\nb\",front,1\n",
     ":2: sweep must be a name on one line, of 1 to 120 bytes"),
    ("a field of a megabyte", "at,reading\nfront," + "1" * 1000000 + "\n",
     ":2: a field is longer than 200 bytes; a quote may be missing"),
    ("a million rows", "at,reading\n" + "front,1\n" * 1000000,
     ":100002: more than 100000 readings; a job holds no more"),
    ("100001 rows", "at,reading\n" + "front,1\n" * 100001,
     ":100002: more than 100000 readings; a job holds no more"),
    ("1001 sweeps in a table",
     "sweep,at,reading\n" + "".join(f"s{i},front,1\n" for i in range(1001)),
     ":1002: more than 1000 sweeps; a job holds no more"),
]

# well written, and no answer in them
ANSWERS = [
    ("one reading", "at,reading\nfront,1\n",
     ': sweep "sweep 1": 1 reading cannot tell the lean; add one at back (0 degrees)'),
    ("two bearings", "at,reading\nfront,1\nback,0\nfront,1\nback,0\n",
     ': sweep "sweep 1": 4 readings cannot tell the lean; add one at right (90 degrees)'),
    ("two opposite bearings in a job",
     JOB + "  - name: as found\n    readings: [{at: front, reading: 1}, {at: back, reading: 0}]\n",
     ': sweep "as found": 2 readings cannot tell the lean; add one at right (90 degrees)'),
    ("a lean of half a turn", "at,reading\nfront,70\nright,0\nback,-70\nleft,0\n",
     ': sweep "sweep 1": leaning so, the bit cuts less than a stepover and leaves stripes; '
     'take a smaller stepover, or check the readings'),
    ("readings in the wrong unit", "at,reading\nfront,1000\nright,500\nback,0\nleft,500\n",
     ': sweep "sweep 1": no lean fits these readings; check them, their unit and the arm\'s '
     'length'),
    ("readings of no lean at all", "at,reading\nfront,9999\nright,-9999\nback,9999\nleft,-9000\n",
     ': sweep "sweep 1": no lean fits these readings; check them, their unit and the arm\'s '
     'length'),
]


def write(name, content):
    """A file in the folder we are in; its name."""
    pathlib.Path(name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return name


def check_files():
    """What lies under a file's name that is no text."""
    large = pathlib.Path("large.yaml")
    with large.open("wb") as file:
        file.truncate((64 << 20) + 1)
    os.mkdir("folder")
    cases = [
        ("a file that is not there", "nowhere.yaml",
         ": there is no such file; check the name and the folder"),
        ("a folder that is not there", "nowhere/tern.yaml",
         ": there is no such file; check the name and the folder"),
        ("a directory", "folder", ": is a directory; give a file"),
        ("an empty file", write("empty.yaml", ""), ": is empty; is it the right file?"),
        ("blank lines", write("blank.yaml", "\r\n \n"), ": is empty; is it the right file?"),
        ("a byte order mark alone", write("mark.yaml", b"\xef\xbb\xbf"),
         ": is empty; is it the right file?"),
        ("a binary file", write("binary.yaml", b"perpend: 1\n\0\1\2"),
         ": is binary, not text; give a YAML or CSV file"),
        ("UTF-16", write("utf16.yaml", machine().encode("utf-16")),
         ": is UTF-16 text; save it as UTF-8"),
        ("Latin-1", write("latin.yaml", machine("machine: caf\u00e9").encode("latin-1")),
         ":6: is not UTF-8 text; save the file as UTF-8"),
        ("a control character", write("control.yaml", machine("machine: a\bb")),
         ":6: has a control character (code 8); remove it"),
        ("more than 64 MiB", str(large), ": is larger than 64 MiB; is it the right file?"),
    ]
    for label, name, line in cases:
        t.refused(tap.perpend("solve", name, "level.csv"), 2, name + line, f"machine: {label}")
        t.refused(tap.perpend("solve", "tern.yaml", name), 2, name + line, f"readings: {label}")
    large.unlink()
    name = "red\x1b[31m\n.yaml"
    t.refused(tap.perpend("solve", name, "level.csv"), 2,
              "red?[31m?.yaml: there is no such file; check the name and the folder",
              "a file's name that colours the terminal")
    name = "n" * 300
    t.refused(tap.perpend("solve", name, "level.csv"), 2,
              "\u2026" + "n" * 116 + ": cannot be a file's name (File name too long); check it",
              "a file's name that is too long")
    t.refused(tap.perpend("solve", "-", "level.csv", stdin=machine(arm="arm: 0")), 2,
              'standard input:2: arm "0" is under 1 mm; check the number and its unit',
              "a bad machine from standard input")
    t.refused(tap.perpend("solve", "tern.yaml", "-", stdin=""), 2,
              "standard input: is empty; is it the right file?", "no readings on standard input")


def check_computer():
    """Failures of the computer are status 3."""
    if os.path.exists("/proc/self/mem"):
        t.refused(tap.perpend("solve", "/proc/self/mem", "level.csv"), 3,
                  "/proc/self/mem: cannot be read (Input/output error)", "a read error")
    secret = write("secret.yaml", machine())
    os.chmod(secret, 0)
    if os.access(secret, os.R_OK):
        t.skip("a file without permission", "this user may read everything")
    else:
        t.refused(tap.perpend("solve", secret, "level.csv"), 3,
                  "secret.yaml: no permission to read it; change its permissions",
                  "a file without permission")


def through_fifo(name, content):
    """A FIFO with a writer at its other end."""
    os.mkfifo(name)
    writer = threading.Thread(target=lambda: pathlib.Path(name).write_bytes(content))
    writer.start()
    return writer


def check_good():
    """The same files in other wrappings are read as they were."""
    tern = pathlib.Path("tern.yaml").read_bytes()
    plain = tap.perpend("solve", "--json", "tern.yaml", "level.csv")
    t.ok(plain.status in (0, 1) and plain.err == "", "the files themselves are good", plain.err)
    wrapped = {
        "a byte order mark": b"\xef\xbb\xbf" + tern,
        "CRLF": tern.replace(b"\n", b"\r\n"),
        "CR": tern.replace(b"\n", b"\r"),
        "no line end at the end": tern.rstrip(b"\n"),
        "a document marker": b"---\n" + tern + b"...\n",
    }
    for label, content in wrapped.items():
        run = tap.perpend("solve", "--json", write("wrapped.yaml", content), "level.csv")
        t.equal((run.status, run.out, run.err), (plain.status, plain.out, ""), f"{label} is read")
    run = tap.perpend("solve", "--json", "-", "level.csv", stdin=tern)
    t.equal(run.out, plain.out, "standard input is read")
    writer = through_fifo("fifo", tern)
    run = tap.perpend("solve", "--json", "fifo", "level.csv")
    writer.join()
    t.equal(run.out, plain.out, "a FIFO is read")
    # a file just under the limit that is a comment almost whole
    filled = tern + b"# " + b"x" * ((64 << 20) - len(tern) - 3) + b"\n"
    run = tap.perpend("solve", "--json", write("filled.yaml", filled), "level.csv")
    t.equal(run.out, plain.out, "64 MiB are read")
    os.unlink("filled.yaml")


with tempfile.TemporaryDirectory() as folder:
    os.chdir(folder)
    write("tern.yaml", pathlib.Path(tap.TERN).read_bytes())
    write("level.csv", "at,reading\nfront,1\nright,1\nback,1\nleft,1\n")
    for label, content, line in MACHINES:
        run = tap.perpend("solve", write("m.yaml", content), "level.csv")
        t.refused(run, 2, "m.yaml" + line, f"machine: {label}")
    for kind, name, cases in (("job", "j.yaml", JOBS), ("table", "t.csv", TABLES),
                              ("answer", "a.csv", ANSWERS)):
        for label, content, line in cases:
            run = tap.perpend("solve", "tern.yaml", write(name, content))
            t.refused(run, 2, name + line, f"{kind}: {label}")
    check_files()
    check_computer()
    check_good()
    os.chdir("/")
t.done()
