#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""access.py PERPEND.html axe.min.js FOLDER [WINDOW...]: on every screen axe-core finds nothing, nothing is
wider than the window, nothing to press is under 44 px, and all that can be focused has a name; on a phone in
the light, in the dark, lying and with letters of twice the size, on the narrowest one, on a desktop and there
at 200 %. The keyboard alone takes a sweep; who wants no motion sees none. Without the file of axe-core the rest
is looked at. A picture of each screen is left in FOLDER."""
import json
import pathlib
import shutil
import sys

from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

from phone import Phone

PAGE, FOLDER = sys.argv[1], pathlib.Path(sys.argv[3])
AXE = pathlib.Path(sys.argv[2]).read_text() if pathlib.Path(sys.argv[2]).is_file() else None
WINDOWS = {"light": {}, "dark": {"dark": True}, "narrow": {"width": 320}, "lying": {"width": 740, "height": 360},
           "large": {"letters": 32}, "desktop": {"width": 1200, "height": 800, "touch": False},
           "zoomed": {"width": 640, "height": 512, "touch": False, "scale": 2}}
wrong, seen = [], 0


def look(phone, name):
    global seen
    seen += 1
    phone.shot(name)
    found = []
    if AXE:
        phone.run(AXE)
        found += json.loads(phone.driver.execute_async_script("""const done = arguments[0];
            axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']}).then((all) =>
              done(JSON.stringify(all.violations.map(({id, nodes}) => [id, nodes.map(({html}) => html.slice(0, 120)).slice(0, 3)]))))"""))
    if phone.run("return document.documentElement.scrollWidth > innerWidth"):
        found.append("wider than the window: " + phone.run("""return [...document.querySelectorAll('main *')].filter((one) =>
            one.getBoundingClientRect().right > innerWidth + 1).map((one) => one.outerHTML.slice(0, 90)).slice(0, 3).join(' ')"""))
    found += phone.run("""return [...document.querySelectorAll('a, button, input, summary')]
        .filter((one) => one.checkVisibility() && !one.classList.contains('skip')).map((one) => (one.closest('label') ?? one))
        .filter((one) => { const box = one.getBoundingClientRect(); return box.width < 44 || box.height < 44; })
        .map((one) => 'small: ' + one.outerHTML.slice(0, 120))""")
    for node in phone.do("Accessibility.getFullAXTree")["nodes"]:
        about = {one["name"]: one["value"].get("value") for one in node.get("properties", [])}
        if about.get("focusable") and not node.get("name", {}).get("value") and node["role"]["value"] not in ("RootWebArea", "main", "generic", "region"):
            found.append(f"without a name: {node['role']['value']}")
    wrong.extend((phone.folder.name, name, one) for one in found)


def sweep(phone, values):
    for at, reading in zip(("front", "right", "back", "left"), values):
        phone.wait("return document.getElementById('value')?.dataset.at === arguments[0]", at)
        phone.driver.switch_to.active_element.send_keys(reading, Keys.ENTER)  # the keyboard does as well


def begin(phone, bed):
    """A new job on the demo's machine, its board as stated."""
    phone.run("""const machine = store.list('machine')[0], file = structuredCopy(machine.file);
        setValue(file, 'bed', arguments[0]); startJob(machine.id, file)""", bed)
    phone.shows("Put the arm")


def screens(phone):
    look(phone, "1-welcome")
    phone.open("#ridge")
    phone.type("css:[name='lean.back']", "6.7")
    phone.tap("Work it out")
    phone.shows("Save the chart")
    look(phone, "2-ridge")
    phone.open("#machine/new")
    phone.tap("Head that swivels")
    phone.tap("It tilts at another joint too")
    phone.run("document.querySelector('[name=\"joints.1.shape\"][value=column]').click()")
    look(phone, "3-machine")
    phone.run("demo()")
    phone.shows("GOOD ENOUGH")
    look(phone, "4-good")
    phone.tap("To the record")
    phone.shows("The record")
    look(phone, "5-record")
    phone.run("location.hash = '#home'")
    phone.shows("New machine")
    look(phone, "6-home")
    phone.tap("Sweep")
    phone.shows("Put the arm")
    look(phone, "7-sweep")
    sweep(phone, ["1", "0.5", "0", "0.8"])
    phone.shows("READ AGAIN")
    look(phone, "8-doubtful")
    phone.tap("css:.again li:last-child .btn")
    phone.wait("return document.getElementById('value')?.value === '0.8'")
    phone.driver.switch_to.active_element.send_keys(Keys.BACKSPACE * 3, "0.5", Keys.ENTER)
    phone.shows("NOT YET")
    look(phone, "9-not-yet")
    phone.tap("Bolts")
    phone.shows("What to do")
    phone.tap("Something else went in")
    look(phone, "10-bolts")
    phone.tap("It is tight: sweep again")
    phone.shows("sweep 2")
    phone.read("0.7")
    phone.shows("expected")
    phone.run("notice('full', {}, 'copyAll')")
    look(phone, "11-next-sweep")
    begin(phone, "faced")
    sweep(phone, ["0.7", "0.5", "0.3", "0.5"])
    phone.shows("TOO CLOSE")
    look(phone, "12-too-close")
    phone.tap("Sweep once more, bolts and Z left alone")
    phone.shows("again 1")
    sweep(phone, ["0.7", "0.5", "0.3", "0.5"])
    phone.wait("return answerOf(currentJob()).solution?.measurements[0].readings === 8 && location.hash.endsWith('answer')")
    begin(phone, "as found")
    phone.shows("Float glass")
    look(phone, "13-places")
    sweep(phone, ["0.7", "0.5", "0.3", "0.5"])
    phone.shows("Move the carriage")
    phone.tap("Answer")
    phone.shows("board or the spindle?")
    look(phone, "14-not-known")
    phone.tap("The board is cut flat now")
    phone.shows("Put the arm")
    assert phone.run("return bedOf(currentJob().machineFile)") == "faced"
    still = "return getComputedStyle(document.querySelector('.arm')).transitionDuration"
    assert phone.run(still) == "0s"
    phone.do("Emulation.setEmulatedMedia", features=[{"name": "prefers-reduced-motion", "value": "no-preference"}])
    assert phone.run(still) != "0s"
    phone.run("location.hash = '#home'; copyAll()")


def key(phone, which):
    ActionChains(phone.driver).send_keys(which).perform()


def reach(phone, which, *words):
    """Tab until the focus, which must show, is on the one."""
    for _ in range(200):
        key(phone, Keys.TAB)
        if phone.run("const one = document.activeElement; return " + which, *words):
            assert phone.run("""const one = document.activeElement;
                return [one, one.nextElementSibling].some((one) => one && getComputedStyle(one).outlineStyle !== 'none')"""), f"{words}: the focus does not show"
            return
    raise AssertionError(f"the keyboard does not reach {which} {words}")


def press(phone, what):
    reach(phone, "one.innerText.trim().split('\\n')[0] === arguments[0] || one.getAttribute('aria-label') === arguments[0]", what)
    key(phone, Keys.ENTER)


def keyboard(phone):
    press(phone, "Look at a job first")
    phone.shows("GOOD ENOUGH")
    phone.run("location.hash = '#home'")
    phone.shows("New machine")
    press(phone, "Sweep")
    phone.shows("Put the arm")
    sweep(phone, ["1", "0.5", "0", "0.5"])
    phone.shows("NOT YET")
    press(phone, "To the bolts")
    phone.shows("What to do")
    press(phone, "It is tight: sweep again")
    phone.shows("sweep 2")
    phone.run("location.hash = '#machine/new'")
    phone.shows("What holds the spindle?")
    reach(phone, "one.name === 'joints.0.shape'")
    key(phone, Keys.ARROW_DOWN)  # a group of radio buttons is one stop; the arrows choose in it
    phone.wait("return document.querySelector('[name=\"joints.0.shape\"]:checked') !== null")
    press(phone, "Keep")
    phone.wait("return document.activeElement.getAttribute('aria-invalid') === 'true'")


for window in sys.argv[4:] or WINDOWS:
    shutil.rmtree(FOLDER / window, ignore_errors=True)
    phone = Phone(PAGE, FOLDER / window, **WINDOWS[window])
    screens(phone)
    assert not phone.complaints()
    phone.close()
    if window == "desktop":
        phone = Phone(PAGE, FOLDER / window / "keyboard", **WINDOWS[window])
        keyboard(phone)
        phone.close()
    shutil.rmtree(FOLDER / window / "profile")
for one in wrong:
    print(*one)
print(f"{', '.join(sys.argv[4:] or WINDOWS)}: {seen} screens looked at{'' if AXE else ' without axe-core'}, {len(wrong)} things wrong")
sys.exit(1 if wrong else 0)
