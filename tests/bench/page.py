#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""page.py PERPEND.html FOLDER: how long the page takes in Debian's chromium, run by hand: from opening the
file to ready, and an answer after a reading, pictures and record included; the median of 50."""
import pathlib
import statistics
import sys

sys.path.insert(0, str(pathlib.Path(__file__).resolve().parent.parent / "page"))
from phone import Phone

phone = Phone(sys.argv[1], sys.argv[2])
ready = []
for _ in range(10):
    phone.open()
    ready.append(phone.run("return performance.getEntriesByName('ready')[0].startTime"))
phone.do("Performance.setTimeDomain", timeDomain="threadTicks")
phone.do("Performance.enable")


def busy():
    """Seconds that the page's processor time has come to: what other work on the machine does not lengthen."""
    return next(one["value"] for one in phone.do("Performance.getMetrics")["metrics"] if one["name"] == "TaskDuration")


began = busy()
took = phone.run("""
    const demo = JSON.parse(document.getElementById('demo').textContent);
    const machine = core.read(demo.machine, null).file, file = core.read(demo.job, null).file;
    const job = store.make('job', {machine: 'none', machineFile: machine, file}), took = [];
    store.things.set(job.id, job);
    for (let i = 0; i < 50; i++) {
      file.sweeps.at(-1).readings[0].reading = String(0.5 + i / 1000);
      const began = performance.now();
      core.answer(machine, file);
      showAnswer(job);
      document.body.offsetHeight;
      took.push(performance.now() - began);
    }
    return took;""")
processor = (busy() - began) * 1000 / len(took)
phone.close()
ready, took = statistics.median(ready), statistics.median(took)
print(f"ready after {ready:.0f} ms, an answer in {took:.1f} ms, {processor:.1f} of them the processor's on average")
sys.exit(0 if ready <= 500 and took <= 50 else 1)
