# SPDX-License-Identifier: GPL-3.0-or-later
"""Installing into an empty folder gives all that a user and a programmer need, and taking it out
again leaves nothing. Called with the command, the project's folder and the build folder."""
import os
import pathlib
import re
import subprocess
import sys
import tempfile

import tap

BUILD = pathlib.Path(sys.argv[3]).resolve()
COMMANDS = ["new", "sweep", "solve", "ridge", "log", "report", "page"]


def run(*command, **more):
    return subprocess.run([str(word) for word in command], capture_output=True, text=True,
                          check=False, **more)


def find(root, name):
    return sorted(root.rglob(name))


def check_files(t, root):
    for name, what in [
            ("perpend", "the command"), ("libperpend.so.0", "the library"),
            ("perpend.pc", "its pkg-config file"), ("solve_sweep.c", "the example program"),
            ("tern.yaml", "the demo machine"), ("perpend.1", "the manual's first page"),
            ("perpend-machine.5", "the manual of the machine file"),
            ("perpend-job.5", "the manual of the job file")]:
        t.ok(find(root, name), f"{what} is installed ({name})")
    for command in COMMANDS:
        t.ok(find(root, f"perpend-{command}.1"), f"the manual of perpend {command} is installed")
    for header in sorted((tap.ROOT / "include" / "perpend").glob("*.h")):
        t.ok(find(root, header.name), f"the header {header.name} is installed")
    completions = [path for path in root.rglob("*") if path.is_file() and (
        "completion" in str(path) or "site-functions" in str(path))]
    t.ok(len(completions) >= 3, "completions for three shells are installed", completions)


def check_command(t, root):
    command = [path for path in find(root, "perpend") if os.access(path, os.X_OK)
               and path.is_file()][0]
    examples = find(root, "tern.yaml")[0].parent
    with tempfile.TemporaryDirectory() as elsewhere:
        done = run(command, "solve", examples / "tern.yaml", examples / "tern-as-found.yaml",
                   cwd=elsewhere)
    t.equal(done.returncode, 1, "the installed command answers the installed demo")
    strings = command.read_bytes()
    t.ok(str(tap.ROOT / "examples").encode() not in strings,
         "the installed command does not look into the source tree")


def check_library(t, root):
    pc = find(root, "perpend.pc")[0]
    env = dict(os.environ, PKG_CONFIG_PATH=str(pc.parent), PKG_CONFIG_SYSROOT_DIR=str(root))
    flags = run("pkg-config", "--cflags", "perpend", env=env)
    t.equal(flags.returncode, 0, "pkg-config knows the library")
    library = find(root, "libperpend.so.0")[0]
    program = root / "example-program"
    built = run("cc", "-std=c11", find(root, "solve_sweep.c")[0], "-o", program,
                *flags.stdout.split(), f"-L{library.parent}", "-lperpend", "-lm",
                f"-Wl,-rpath,{library.parent}")
    t.ok(built.returncode == 0, "the example program builds against it", built.stderr)
    files = tap.TERN, tap.AS_FOUND
    answer = run(program, *files)
    t.equal(answer.stdout, tap.perpend("solve", *files).out + tap.perpend("solve", *files, "--json").out,
            "and answers the demo in the command's words and JSON")
    wrong = run(program, tap.AS_FOUND, tap.AS_FOUND)
    t.equal("perpend: " + wrong.stderr, tap.perpend("solve", tap.AS_FOUND, tap.AS_FOUND).err,
            "and complains as the command does")
    few = root / "few.csv"
    few.write_text("at,reading\n0,0.5\n90,0.5\n")
    wrong = run(program, tap.TERN, few)
    t.ok(wrong.returncode == 1 and "bearing" in wrong.stderr, "and of readings that do not suffice", wrong.stderr)
    few.unlink()
    program.unlink(missing_ok=True)
    names = [line.split()[-1] for line in run("nm", "-D", "--defined-only", library).stdout
             .splitlines()]
    odd = [name for name in names if not re.fullmatch(r"perpend_\w+@@PERPEND_0|PERPEND_0(@@.*)?",
                                                      name)]
    t.ok(len(names) > 30 and not odd, "only the public names are visible, each with its version",
         odd)
    declared = "\n".join(path.read_text() for path in
                         (tap.ROOT / "include" / "perpend").glob("*.h"))
    undeclared = [name for name in names if name.startswith("perpend_")
                  and not re.search(rf"\b{name.split('@')[0]}\(", declared)]
    t.ok(not undeclared, "every visible name is declared in a public header", undeclared)


def main():
    t = tap.Tap()
    with tempfile.TemporaryDirectory() as folder:
        root = pathlib.Path(folder) / "root"
        done = run("meson", "install", "--no-rebuild", "-C", BUILD, "--destdir", root)
        if not t.ok(done.returncode == 0, "meson install succeeds", done.stdout + done.stderr):
            t.done()
        check_files(t, root)
        check_command(t, root)
        if "address" not in run("meson", "introspect", "--buildoptions", BUILD).stdout.split(
                '"b_sanitize"')[-1][:200]:
            check_library(t, root)
        else:
            t.skip("the library", "a sanitized library cannot be linked by a plain program")
        done = run("ninja", "-C", BUILD, "uninstall")
        left = [path for path in root.rglob("*") if not path.is_dir()]
        t.ok(done.returncode == 0 and not left, "uninstalling leaves nothing", left)
    t.done()


main()
