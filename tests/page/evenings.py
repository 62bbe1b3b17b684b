#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""evenings.py PERPEND.html PERPEND FOLDER: three whole evenings on the page, by touch on a phone that has
no network: the boat shed's, one with an inch dial at three places, one with a head that swivels and a
lever. Slips of the hand and a reload are among them. What is taken out at the end the command answers
with the very figures and words that the page shows."""
import base64
import json
import math
import os
import pathlib
import re
import shutil
import subprocess
import sys
import time

from phone import Phone

PAGE, PERPEND, FOLDER = sys.argv[1], pathlib.Path(sys.argv[2]).resolve(), pathlib.Path(sys.argv[3]).resolve()
BEARINGS = {"front": (0, -1), "right": (1, 0), "back": (0, 1), "left": (-1, 0)}


def readings(arm, lean, step, decimals, centre, sign=1):
    """What a gauge shows round a spindle that leans so many mm/m right and back."""
    for right, back in BEARINGS.values():
        value = centre + sign * -arm * (lean[0] * right + lean[1] * back) / 1000
        yield f"{round(value / step) * step:.{decimals}f}"


def describe(phone, shape, fields, choices=()):
    phone.tap("Describe my machine")
    phone.wait("return location.hash === '#machine/new'")
    for choice in (*choices, shape):
        phone.tap(choice)
    for name, value in fields.items():
        phone.type(f'css:[name="{name}"]', value)


def sweep(phone, values):
    for at, value in zip(BEARINGS, values):
        phone.wait("return document.getElementById('value')?.dataset.at === arguments[0]", at)
        phone.read(value)


def on(phone, where):
    phone.wait("return location.hash.endsWith(arguments[0])", where)


def take_out(phone, name):
    """Machine and job as files, which the command answers as the page does."""
    for old in FOLDER.glob("*.yaml"):
        old.unlink()
    phone.tap("Take machine and job out as files")
    end = time.monotonic() + 10
    while len(files := sorted(FOLDER.glob("*.yaml"), key=lambda path: len(path.name))) < 2:
        assert time.monotonic() < end, "no files came"
        time.sleep(0.05)
    shown = json.loads(phone.run("const job = currentJob(); return JSON.stringify(core.answer(job.machineFile, job.file))"))
    solved = subprocess.run([PERPEND, "solve", "--json", *files], capture_output=True, text=True)
    assert json.loads(solved.stdout) == shown["solution"], f"{name}: other figures\n{solved.stderr}"
    words = subprocess.run([PERPEND, "solve", *files], capture_output=True, text=True).stdout
    # into the command's log, once, however often it is told
    home = {**os.environ, "XDG_DATA_HOME": str(FOLDER / "log")}
    for _ in range(2):
        subprocess.run([PERPEND, "log", "import", *files], env=home, check=True, capture_output=True)
    told = subprocess.run([PERPEND, "log", "export", "--all"], env=home, check=True, capture_output=True, text=True).stdout
    assert len(told.splitlines()) == 1, f"{name}: not once in the log\n{told}"
    phone.tap("Answer")
    on(phone, "/answer")
    phone.tap("All of it in words")
    pre = phone.run("return document.querySelector('pre').textContent")
    assert pre == words, f"{name}: other words\n{pre}\n{words}"
    heading = phone.run("return [...document.querySelectorAll('.verdict h1, .verdict p')].map((one) => one.textContent).join(': ')")
    assert heading.split(" (")[0] in words, f"{name}: {heading!r} is not what the command says"
    print(f"{name}: {len(shown['rounds'])} rounds, {heading}")


def boat_shed():
    phone = Phone(PAGE, FOLDER)
    describe(phone, "Plate, four bolts", {
        "machine": "Tern", "place": "boat shed", "joints.0.across": "60", "joints.0.high": "80", "joints.0.above": "130", "joints.0.behind": "40",
        "arm": "7x5", "cutter.diameter": "22", "facing.stepover": "10", "facing.depth": "0,2",
        "stock.0.thick": "0,05", "stock.0.count": "8", "stock.0.name": "brass"})
    phone.tap("Something else")
    for key, value in {"thick": "0.1", "count": "10", "name": "drink can"}.items():
        phone.type(f'css:[name="stock.1.{key}"]', value)
    phone.tap("Keep")
    phone.wait("return document.querySelector('[name=arm]').getAttribute('aria-invalid') === 'true'")
    assert '"7x5"' in phone.text()
    phone.type("css:[name=arm]", "75")
    phone.tap("Keep")
    on(phone, "/sweep")
    phone.type("css:#value", "1.o")
    phone.tap("keep the reading")
    phone.wait("return document.getElementById('wrong').textContent.includes('1.o')")
    phone.type("css:#value", "")
    sweep(phone, ["1.00", "0.5"])
    phone.wait("return document.getElementById('value').dataset.at === 'back'")
    phone.open("#home")
    phone.tap("Go on at the back")
    on(phone, "/sweep")
    phone.wait("return document.querySelectorAll('.pt.kept').length === 2")
    phone.read("0")
    phone.wait("return document.getElementById('value').dataset.at === 'left'")
    phone.read("5")  # a point forgotten
    on(phone, "/answer")
    phone.tap("Sweep")
    on(phone, "/sweep")
    phone.tap("css:.pt.left")
    phone.wait("return document.getElementById('value').value === '5'")
    phone.tap("take the last digit away")
    phone.read("0,5")
    on(phone, "/answer")
    for verdict, values in (("NOT YET", ["0.70", "0.5", "0.30", "0.5"]), ("TOO CLOSE", ["0.60", "0.5", "0.45", "0.5"])):
        phone.shows(verdict)
        phone.tap("Bolts")
        on(phone, "/bolts")
        phone.tap("It is tight: sweep again")
        on(phone, "/sweep")
        sweep(phone, values)
        on(phone, "/answer")
    phone.shows("GOOD ENOUGH")
    phone.tap("To the record")
    on(phone, "/record")
    phone.type("css:[name=who]", "A. Oarsman")
    paper = FOLDER / "record.pdf"
    paper.write_bytes(base64.b64decode(phone.do("Page.printToPDF", preferCSSPageSize=True, paperWidth=8.27, paperHeight=11.69)["data"]))
    told = subprocess.run(["pdfinfo", paper], capture_output=True, text=True, check=True).stdout
    assert re.search(r"^Pages: +1$", told, re.MULTILINE), told
    take_out(phone, "The boat shed")
    return phone


def inch_dial():
    phone = Phone(PAGE, FOLDER)
    describe(phone, "Plate, four bolts", {
        "machine": "Plover", "joints.0.across": "2.5", "joints.0.high": "3", "joints.0.above": "5", "joints.0.behind": "1.5", "joints.0.thread": "1/4-20",
        "arm": "3", "gauge.step": "0.0005", "cutter.diameter": "1", "facing.stepover": "0.4", "goal.ridge": "0.001"},
        ["inches", "a dial", "Never cut on this machine"])
    phone.tap("Keep")
    on(phone, "/sweep")
    for place, (x, y) in enumerate([("0", "0"), ("10", "0"), ("0", "8")]):
        phone.wait("return document.querySelector('.places b').textContent.includes(`Place ${arguments[0]} `)", place + 1)
        phone.type("css:[name=x]", x)
        phone.type("css:[name=y]", y)
        # a bed that rises 1 in 1000 to the right, and a dial that rises toward it
        sweep(phone, readings(3, (-1 - 1, 9), 0.0005, 4, 0.1 + int(x) / 1000, -1))
        if place < 2:
            phone.tap("Move the carriage to the next place")
    phone.shows("NOT YET")
    phone.tap("Bolts")
    on(phone, "/bolts")
    phone.tap("It is tight: sweep again")
    on(phone, "/sweep")
    sweep(phone, readings(3, (-0.2 - 1, 0.4), 0.0005, 4, 0.1, -1))
    on(phone, "/answer")
    phone.run("location.hash = `#job/${currentJob().id}/record`")
    on(phone, "/record")
    take_out(phone, "An inch dial at three places")
    return phone


def swivel():
    phone = Phone(PAGE, FOLDER)
    describe(phone, "Head that swivels", {
        "machine": "Dunlin <b>&", "joints.0.across": "100", "joints.0.above": "300", "joints.0.behind": "100", "joints.0.thread": "M10",
        "arm": "100", "gauge.step": "0.01", "gauge.angle": "15", "cutter.diameter": "50", "facing.stepover": "30",
        "goal.ridge": "0,01"}, ["a lever dial"])
    phone.tap("Keep")
    on(phone, "/sweep")
    cosine = math.cos(math.radians(15))
    sweep(phone, readings(100 / cosine, (6, 0.1), 0.01, 2, 1, -1))
    on(phone, "/answer")
    phone.tap("Bolts")
    on(phone, "/bolts")
    phone.tap("Something else went in")
    phone.type("css:[data-key=angle]", "x")
    phone.tap("That is what I did: sweep again")
    phone.wait("return document.querySelector('[data-slot=wrong]').textContent !== ''")
    phone.type("css:[data-key=angle]", phone.run("return core.answer(currentJob().machineFile, currentJob().file).planned[0].angle"))
    phone.tap("That is what I did: sweep again")
    on(phone, "/sweep")
    sweep(phone, readings(100 / cosine, (0.1, 0.1), 0.01, 2, 1, -1))
    on(phone, "/answer")
    phone.tap("To the record")
    on(phone, "/record")
    take_out(phone, "A head that swivels")
    return phone


shutil.rmtree(FOLDER, ignore_errors=True)
for evening in [globals()[name] for name in sys.argv[4:]] or (boat_shed, inch_dial, swivel):
    began = time.monotonic()
    phone = evening()
    sent = [line for line in phone.complaints() if "favicon" not in line]
    phone.close()
    shutil.rmtree(FOLDER / "profile")
    assert not sent, sent
    print(f"  {time.monotonic() - began:.1f} s")
