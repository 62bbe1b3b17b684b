#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""store.py PERPEND.html PERPEND FOLDER: what is kept stays kept. Two tabs, a full and a forbidden storage, jobs of
a newer page, a clock that went back, a tab that crashes: nothing is overwritten, and what cannot be kept
is said, with the way to save it as a file. A copy of everything comes back. A name is never more than
a name."""
import json
import pathlib
import shutil
import subprocess
import sys
import time

from phone import Phone

PAGE, PERPEND, FOLDER = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3]).resolve()
shutil.rmtree(FOLDER, ignore_errors=True)
phone = Phone(PAGE, FOLDER)
EVIL = '<img src=x onerror="document.title=1">'


def begin():
    """A machine, a job begun, and its first reading kept."""
    phone.run("""const file = core.read(JSON.parse(document.getElementById('demo').textContent).machine, null).file;
        file.machine = arguments[0]; const machine = store.make('machine', {file}); store.things.set(machine.id, machine);
        keep(machine).then(() => startJob(machine.id));""", EVIL)
    phone.wait("return document.getElementById('value')?.dataset.at === 'front'")
    phone.read("1")
    phone.wait("return document.getElementById('value').dataset.at === 'right'")


def job():
    return next(thing for thing in phone.things() if thing["kind"] == "job")


def kept():
    return [reading["reading"] for reading in job()["file"]["sweeps"][-1]["readings"]]


begin()
assert kept() == ["1"] and phone.run("return document.title").startswith(EVIL)
where = phone.run("return location.hash")

# another window goes on with the job; this one is told, and overwrites nothing
phone.driver.switch_to.new_window("window")
phone.open(where)
phone.wait("return document.getElementById('value')?.dataset.at === 'right'")
phone.read("0.5")
phone.wait("return document.getElementById('value').dataset.at === 'back'")
other, first = phone.driver.current_window_handle, phone.driver.window_handles[0]
phone.driver.switch_to.window(first)
phone.run("document.getElementById('value').value = '7'; document.querySelector('.keep').click()")
phone.shows("another window")
assert kept() == ["1", "0.5"], kept()
phone.wait("return document.getElementById('value').dataset.at === 'back'")
phone.driver.switch_to.window(other)

# the tab crashes: what was kept is there
try:
    phone.driver.set_page_load_timeout(3)
    phone.driver.get("chrome://crash")
except Exception:  # it did
    pass
phone.driver.switch_to.window(first)
phone.driver.set_page_load_timeout(30)
phone.open(where)
phone.wait("return document.querySelectorAll('.pt.kept').length === 2")

# no room: said, not shown as kept, and saved as a file; what was kept before is as it was
phone.run("IDBObjectStore.prototype.put = function () { const full = new DOMException('full', 'QuotaExceededError');"
          "Object.defineProperty(this.transaction, 'error', {value: full}); this.transaction.abort(); }")
phone.read("0")
phone.shows("no room left")
phone.wait("return document.querySelectorAll('.pt.unkept').length === 1 && document.querySelectorAll('.pt.kept').length === 2")
assert kept() == ["1", "0.5"]
phone.tap("Save a copy now")
end = time.monotonic() + 10
while not (copies := list(FOLDER.glob("perpend-copy*.yaml"))):
    assert time.monotonic() < end
    time.sleep(0.05)
# a copy is machine and job files, one behind the other, as the command reads them
files = [FOLDER / f"copied-{i}.yaml" for i in range(2)]
for path, text in zip(files, copies[0].read_text().split("---\n")[1:]):
    path.write_text(text)
solved = subprocess.run([PERPEND, "solve", "--json", *files], capture_output=True, text=True)
assert json.loads(solved.stdout)["measurements"][-1]["readings"] == 3, solved.stderr
phone.open(where)
phone.wait("return document.querySelectorAll('.pt.kept').length === 2")

# a copy comes back beside what is here; twice is once
phone.open("#home")
before = len(phone.things())
for _ in range(2):
    phone.run("document.querySelector('[data-change=bring]').style.opacity = 1")
    phone.find("css:[data-change=bring]").send_keys(str(copies[0]))
    phone.shows("Taken in from the copy")
assert len(phone.things()) >= before

# a job that a newer page wrote is left alone
phone.driver.execute_async_script("""const done = arguments[0], open = indexedDB.open('perpend');
    open.onsuccess = () => { const write = open.result.transaction('things', 'readwrite');
    write.objectStore('things').put({id: 'new', kind: 'job', format: 2, revision: 5, secret: 'as it was'});
    write.oncomplete = () => { open.result.close(); done(); }; };""")
phone.open("#home")
phone.shows("newer perpend page")
assert next(thing for thing in phone.things() if thing["id"] == "new")["secret"] == "as it was"

# the clock goes back: nothing is lost or put in another order, and the record says so
phone.run("const real = Date; window.Date = class extends real { constructor(...all) { all.length ? super(...all) : super(2001, 0, 1); } }")
order = max(thing.get("order", 0) for thing in phone.things())
phone.run("const machine = store.list('machine')[0]; startJob(machine.id)")
phone.wait("return document.getElementById('value')?.dataset.at === 'front'")
for i, (at, value) in enumerate((("front", "1"), ("right", "0.5"), ("back", "0"), ("left", "0.5"))):
    phone.wait("return document.getElementById('value')?.dataset.at === arguments[0]", at)
    phone.read(value)
phone.shows("NOT YET")
assert max(thing.get("order", 0) for thing in phone.things()) == order + 1
phone.tap("To the record")
phone.shows("stands before an earlier job")

# names are names, in the record and on paper too
phone.tap("css:[data-slot=end]")
phone.shows("Machines")
assert phone.run("return document.querySelectorAll('img').length") == 0 and EVIL in phone.text()

# storage forbidden: said at once, with the way out
phone.do("Page.addScriptToEvaluateOnNewDocument", source="Object.defineProperty(window, 'indexedDB', {get() { throw new DOMException('no', 'SecurityError'); }});")
phone.open("#home")
phone.shows("lets the page keep nothing")
assert not phone.complaints(), phone.complaints()
phone.close()
print("nothing is lost: two tabs, a crash, no room, no storage, a newer page, a clock gone back, a copy")
