# SPDX-License-Identifier: GPL-3.0-or-later
"""What the tests of the command share: running it, and saying ok or not ok (TAP).

A test is called with the path of perpend and the project's top folder:

    import tap
    t = tap.Tap()
    run = tap.perpend("solve", MACHINE, READINGS)
    t.equal(run.status, 1, "not good enough is status 1")
    t.done()
"""
import os
import pathlib
import shutil
import subprocess
import sys
import time

PERPEND = os.path.abspath(sys.argv[1])
ROOT = pathlib.Path(sys.argv[2]).resolve()
TERN = str(ROOT / "examples" / "tern.yaml")
# what `perpend new` is told of a machine, an answer a line, up to the name of its file
NEW_MACHINE = "\n".join(["Tern", "", "", "", "", "", "75", "", "22", "", "", "", "", "", "", "", "plate", "60", "80", "130",
                         "40", "M5", "", "", "0.05 x 8 brass", "", ""]) + "\n"
AS_FOUND = str(ROOT / "examples" / "tern-as-found.yaml")


def brass_tern(count):
    """The demo machine with brass alone, as text."""
    return pathlib.Path(TERN).read_text(encoding="utf-8").replace(
        "  - {thick: 0.1, count: 10, name: drink can}\n", "").replace("count: 8", f"count: {count}")


def stocked_tern():
    """With enough for a second adjustment."""
    return brass_tern(40)


def copy_stocked_tern(path):
    pathlib.Path(path).write_text(stocked_tern(), encoding="utf-8")
    return str(path)


class Run:
    """One finished run of the command."""

    def __init__(self, done):
        self.status = done.returncode
        self.bytes = done.stdout
        self.out = done.stdout.decode("utf-8", "replace")
        self.err = done.stderr.decode("utf-8", "replace")

    def sentence(self):
        """The output with its lines run together, to look for sentences in."""
        return " ".join(self.out.split())


def environment(**changes):
    """A plain environment: UTF-8, 80 columns. A change to None takes a name out."""
    env = {"PATH": os.environ.get("PATH", "/usr/bin:/bin"), "LC_ALL": "C.UTF-8"}
    for name in ("LOCPATH", "ASAN_OPTIONS", "UBSAN_OPTIONS", "LSAN_OPTIONS", "GCOV_ERROR_FILE",
                 "TMPDIR", "HOME"):
        if name in os.environ:
            env[name] = os.environ[name]
    for name, value in changes.items():
        if value is None:
            env.pop(name, None)
        else:
            env[name] = str(value)
    return env


def perpend(*arguments, stdin=b"", env=None, cwd=None):
    """Run the command to its end; it must not take a minute."""
    if isinstance(stdin, str):
        stdin = stdin.encode()
    return Run(subprocess.run([PERPEND, *arguments], input=stdin, capture_output=True,
                              env=env if env is not None else environment(), cwd=cwd, timeout=60,
                              check=False))


def cases(all_of_them, fewest):
    """A tenth of a test's cases, or as many of a hundred as PERPEND_TEST_PERCENT says (support.h)."""
    some = -(-all_of_them * float(os.environ.get("PERPEND_TEST_PERCENT", "10")) // 100)
    return min(all_of_them, max(fewest, int(some)))


def some(all_of_them, step=3):
    """Every one of a table's rows, or each third where the usual share is not asked for (under sanitizers)."""
    return all_of_them if cases(100, 1) >= 10 else all_of_them[::step]


def remove(folder):
    """A folder that a program told to end may still be tidying, or writing a last file into."""
    for _ in range(50):
        shutil.rmtree(folder, ignore_errors=True)
        if not os.path.exists(folder):
            return
        time.sleep(0.1)
    shutil.rmtree(folder)


class Tap:
    def __init__(self):
        self.count = self.failed = 0

    def ok(self, good, name, detail=""):
        self.count += 1
        self.failed += not good
        print(f"{'ok' if good else 'not ok'} {self.count} - {name}")
        if not good and detail:
            for line in str(detail).splitlines():
                print(f"#   {line}")
        sys.stdout.flush()
        return bool(good)

    def equal(self, got, want, name):
        return self.ok(got == want, name, f"got:  {got!r}\nwant: {want!r}")

    def contains(self, text, part, name):
        return self.ok(part in text, name, f"looked for: {part!r}\nin:\n{text}")

    def lacks(self, text, part, name):
        return self.ok(part not in text, name, f"found: {part!r}\nin:\n{text}")

    def refused(self, run, status, line, name):
        """An error: this status, nothing on standard output, this one line on standard error."""
        good = run.status == status and run.out == "" and run.err == f"perpend: {line}\n"
        return self.ok(good, name, f"status {run.status}, want {status}\nout: {run.out!r}\n"
                                   f"err:  {run.err!r}\nwant: {f'perpend: {line}'!r}")

    def skip(self, name, why):
        self.count += 1
        print(f"ok {self.count} - {name} # SKIP {why}")

    def done(self):
        print(f"1..{self.count}")
        sys.exit(1 if self.failed else 0)
