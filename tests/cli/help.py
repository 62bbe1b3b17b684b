#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What perpend says of itself; options, completions and manual pages agree."""
import os
import pty
import re
import shutil
import subprocess
import tempfile

import tap

t = tap.Tap()
COMPLETIONS = tap.ROOT / "docs" / "completions"


def options_in(text):
    return set(re.findall(r"(?<![\w-])--([a-z][a-z-]*[a-z])", text))


def completed(shell, text, command):
    """The options that a shell's file completes behind a command."""
    if shell == "fish":
        lines = [line for line in text.splitlines() if line.startswith("complete ") and (
            re.search(rf"subcommand_from [a-z ]*\b{command}\b|-n \${command} ", line)
            or " -n " not in line)]
        return set(re.findall(r" -l ([a-z-]+)", "\n".join(lines)))
    branch = re.search(rf"^    {command}\)(.*?);;", text, re.MULTILINE | re.DOTALL)
    return options_in(branch[1]) if branch else set()


# -- the program -------------------------------------------------------------------------------
alone = tap.perpend()
t.equal(alone.status, 0, "perpend alone is status 0")
t.equal(alone.err, "", "perpend alone writes nothing to standard error")
t.equal(tap.perpend("--help").out, alone.out, "perpend --help says the same")
t.equal(tap.perpend("-h").out, alone.out, "perpend -h says the same")
t.equal(tap.perpend("help").out, alone.out, "perpend help says the same")
t.contains(alone.out, "perpend solve MACHINE READINGS", "it says how to get an answer from files")
commands = re.findall(r"^  ([a-z]+) {2,}\S", alone.out, re.MULTILINE)
t.ok({"solve", "ridge", "help"} <= set(commands), "it lists the commands", commands)
project = (tap.ROOT / "meson.build").read_text()
version = re.search(r"version: '([^']+)'", project).group(1)
t.equal(tap.perpend("--version").out.splitlines()[0], f"perpend {version}", "--version")

# -- each command ------------------------------------------------------------------------------
shells = {name: (COMPLETIONS / f"perpend.{name}").read_text() for name in ("bash", "zsh", "fish")}
for command in commands:
    help_text = tap.perpend("help", command)
    t.equal(help_text.status, 0, f"help {command} is status 0")
    t.equal(tap.perpend(command, "--help").out, help_text.out, f"{command} --help says the same")
    t.ok(help_text.out.startswith(f"perpend {command}"), f"help {command} begins with its usage",
         help_text.out)
    t.ok(all(len(line) <= 80 for line in help_text.out.splitlines()), f"help {command} fits")
    for shell, text in shells.items():
        t.ok(re.search(rf"\b{command}\b", text), f"{shell} completes {command}")
        own = options_in(help_text.out) if command != "help" else set()
        t.equal(completed(shell, text, command) ^ own, {"help"} - own if shell == "fish" else set(),
                f"{shell} completes the options of {command}, and no others")
    page = tap.ROOT / "docs" / f"perpend-{command}.1.scd"
    if command != "help":
        text = page.read_text() if page.exists() else ""
        own = options_in(help_text.out) - {"help"}
        t.ok(text and own <= options_in(text), f"the page of {command} has each option",
             own - options_in(text))
        synopsis = options_in(text)
        known = options_in(help_text.out) | {"help", "name"}
        t.ok(synopsis <= known, f"the page of {command} has no option that is not there",
             synopsis - known)
        t.contains((tap.ROOT / "docs" / "perpend.1.scd").read_text(), f"perpend-{command}*(1)",
                   f"perpend(1) points to the page of {command}")
        t.contains((tap.ROOT / "docs" / "meson.build").read_text(), f"'perpend-{command}.1'",
                   f"the page of {command} is made and installed")
t.ok(all(len(line) <= 80 for line in alone.out.splitlines()), "the list of commands fits")

# -- mistakes ----------------------------------------------------------------------------------
ALL = "here are new, sweep, solve, ridge, board, log, report, page and help"
OF_SOLVE = "here are --json, --more, --ascii, --picture and --help"
MISTAKES = [
    (["slove"], f"there is no command 'slove'; did you mean 'solve'? T{ALL}"),
    (["rdige"], f"there is no command 'rdige'; did you mean 'ridge'? T{ALL}"),
    (["sol"], f"there is no command 'sol'; did you mean 'solve'? T{ALL}"),
    (["help", "rigde"], f"there is no command 'rigde'; did you mean 'ridge'? T{ALL}"),
    (["zzz"], f"there is no command 'zzz'; t{ALL}"),
    ([""], f"there is no command ''; t{ALL}"),
    (["-"], f"there is no command '-'; t{ALL}"),
    (["x\x1b[2J\ny"], f"there is no command 'x?[2J?y'; t{ALL}"),
    (["x" * 300], f"there is no command '{'x' * 300}'; t{ALL}"),
    (["tern.yaml", "r.csv"],
     "'tern.yaml' is no command; for files type 'perpend solve MACHINE READINGS'"),
    (["--verson"], "unknown option '--verson'; there are --help and --version; options of a command go behind it"),
    (["help", "solve", "ridge"], "help: one command at a time, please"),
    (["solve"], "solve: give a machine file and a file of readings; "
                "'perpend solve --help' says more"),
    (["solve", "a"], "solve: give a machine file and a file of readings; "
                     "'perpend solve --help' says more"),
    (["solve", "a", "b", "c"], "solve: give a machine file and a file of readings; "
                               "'perpend solve --help' says more"),
    (["solve", "-", "-"], "solve: only one of the two files can be - for standard input"),
    (["solve", "--jsn", "a", "b"], f"solve: unknown option '--jsn'; did you mean '--json'? T{OF_SOLVE}"),
    (["solve", "-j", "a", "b"], f"solve: unknown option '-j'; t{OF_SOLVE}"),
    (["solve", "--quick", "a", "b"],
     f"solve: unknown option '--quick'; t{OF_SOLVE}"),
    (["solve", "--json=yes", "a", "b"], "solve: --json takes no value; leave '=yes' out"),
    (["solve", "a", "b", "--picture"], "solve: --picture wants a value after it"),
    (["solve", "a", "b", "--seed", "1"],
     f"solve: unknown option '--seed'; t{OF_SOLVE}"),
]
for words, line in MISTAKES:
    t.refused(tap.perpend(*words), 2, line, " ".join(["perpend", *words])[:60].replace("\n", "?"))
t.equal(tap.perpend("solve", "--", "-x", "y").err.count("\n"), 1, "-- ends the options")

# -- without a word, at a terminal -------------------------------------------------------------
def begun(folder):
    """What perpend alone says first, up to its question."""
    ours, theirs = pty.openpty()
    run = subprocess.Popen([tap.PERPEND], stdin=theirs, stdout=theirs, stderr=theirs, cwd=folder,
                           env=tap.environment(HOME=folder, TERM="dumb", XDG_DATA_HOME=None))
    os.close(theirs)
    text = b""
    while not text.rstrip().endswith((b"]:", b"mm:", b"own:")):
        text += os.read(ours, 4096)
    os.write(ours, b"stop\n")
    try:
        while os.read(ours, 4096):
            pass
    except OSError:
        pass
    os.close(ours)
    return run.wait(60), text.decode().replace("\r", "")


with tempfile.TemporaryDirectory() as place:
    status, said = begun(place)
    t.equal((status, said.split("\n\n")[0].count("\n") + 1), (1, 5), "five lines say what it takes")
    t.ok(all(len(line) <= 80 for line in said.splitlines()), "and fit 80 columns", said)
    t.contains(said, "What do you call the machine?", "and it asks about the machine")
    shutil.copy(tap.TERN, place)
    status, said = begun(place)
    t.contains(said, "A new job on Tern.", "or sweeps the one that is there")

# -- completion at work in bash ----------------------------------------------------------------
COMPLETED = [
    (["perpend", "so"], "solve"),
    (["perpend", "ridge", "--al"], "--along"),
    (["perpend", "ridge", "--along", "b"], "both"),
    (["perpend", "ridge", "--toward", "back-l"], "back-left"),
    (["perpend", "solve", "--asc"], "--ascii"),
    (["perpend", "help", "ri"], "ridge"),
]
for words, want in COMPLETED:
    script = (f'source "{COMPLETIONS}/perpend.bash"; COMP_WORDS=({" ".join(words)}); '
              f'COMP_CWORD={len(words) - 1}; _perpend; echo "${{COMPREPLY[*]}}"')
    run = subprocess.run(["bash", "-c", script], capture_output=True, text=True, check=False)
    t.equal(run.stdout.strip(), want, f"bash completes '{' '.join(words)}'")

t.done()
