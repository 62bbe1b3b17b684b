#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""access.py PERPEND.html axe.min.js FOLDER: axe-core finds nothing on any screen, none is wider than the
window, and nothing to press is under 44 px, on a phone in the light and in the dark, on the narrowest
one and on a desktop; there the keyboard alone takes a sweep. A picture of each screen is left in FOLDER."""
import json
import pathlib
import sys

from selenium.webdriver.common.keys import Keys

from phone import Phone

PAGE, AXE, FOLDER = sys.argv[1], pathlib.Path(sys.argv[2]).read_text(), pathlib.Path(sys.argv[3])
wrong = []


def look(phone, name):
    phone.shot(name)
    phone.run(AXE)
    found = phone.driver.execute_async_script("""const done = arguments[0];
        axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}).then((all) =>
          done(JSON.stringify(all.violations.map(({id, nodes}) => [id, nodes.map(({html}) => html.slice(0, 120)).slice(0, 3)]))))""")
    wrong.extend((phone.folder.name, name, one) for one in json.loads(found))
    if phone.run("return document.documentElement.scrollWidth > innerWidth"):
        wrong.append((phone.folder.name, name, "wider than the window"))
    small = phone.run("""return [...document.querySelectorAll('a, button, input, summary')]
        .filter((one) => one.checkVisibility() && !one.classList.contains('skip')).map((one) => (one.closest('label') ?? one))
        .filter((one) => { const box = one.getBoundingClientRect(); return box.width < 44 || box.height < 44; })
        .map((one) => one.outerHTML.slice(0, 120))""")
    wrong.extend((phone.folder.name, name, "small", one) for one in small)


def screens(name, **how):
    phone = Phone(PAGE, FOLDER / name, **how)
    look(phone, "1-welcome")
    phone.open("#machine/new")
    phone.tap("Plate, four bolts")
    look(phone, "2-machine")
    phone.run("demo()")
    phone.shows("GOOD ENOUGH")
    look(phone, "3-good")
    phone.tap("To the record")
    phone.shows("The record")
    look(phone, "4-record")
    phone.run("location.hash = '#home'")
    phone.shows("New machine")
    look(phone, "5-home")
    phone.tap("Sweep")
    phone.shows("Put the arm")
    look(phone, "6-sweep")
    for at, reading in (("front", "1"), ("right", "0.5"), ("back", "0"), ("left", "0.8")):
        phone.wait("return document.getElementById('value')?.dataset.at === arguments[0]", at)
        phone.driver.switch_to.active_element.send_keys(reading, Keys.ENTER)  # the keyboard does as well
    phone.shows("READ AGAIN")
    look(phone, "7-doubtful")
    phone.tap("css:.again li:last-child .btn")
    phone.wait("return document.getElementById('value')?.value === '0.8'")
    phone.driver.switch_to.active_element.send_keys(Keys.BACKSPACE * 3, "0.5", Keys.ENTER)
    phone.shows("NOT YET")
    look(phone, "8-not-yet")
    phone.tap("Bolts")
    phone.shows("What to do")
    phone.tap("Something else went in")
    look(phone, "9-bolts")
    phone.tap("It is tight: sweep again")
    phone.shows("sweep 2")
    phone.read("0.7")
    phone.shows("expected")
    phone.run("notice('full', {}, 'copyAll')")
    look(phone, "10-next-sweep")
    assert not phone.complaints()
    phone.close()


for name, how in {"light": {}, "dark": {"dark": True}, "narrow": {"width": 320}, "lying": {"width": 740, "height": 360},
                  "desktop": {"width": 1200, "height": 800, "touch": False}}.items():
    screens(name, **how)
for one in wrong:
    print(*one)
print(f"50 screens looked at, {len(wrong)} things wrong")
sys.exit(1 if wrong else 0)
