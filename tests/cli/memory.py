# SPDX-License-Identifier: GPL-3.0-or-later
"""Out of memory in `solve`, `ridge`, `board` and the log's parts: one clear line and status 3, or the full answer
where the allocation was not vital; never a crash, never half an answer. At 12 allocations
drawn from each command's, 300 with PERPEND_TEST_PERCENT=100. Called with the command, the project's folder
and the allocator to preload."""
import pathlib
import tempfile

import faults
import tap

RIDGE = ["ridge", "--machine", tap.TERN, "--lean", "6.67"]
BOARD = [str(tap.ROOT / "examples" / name) for name in ("tern-unfaced.yaml", "tern-board.csv")]
t = tap.Tap()


def fault_in(run, whole):
    """What is wrong with a run, or None."""
    refused = run.status == 3 and run.out == "" and run.err.count("\n") == 1 and \
        run.err.startswith("perpend: ") and "memory" in run.err
    same = run.status == whole.status and run.bytes == whole.bytes and not run.err
    return None if refused or same else f"{run.status} {run.out[:80]!r} {run.err[:200]!r}"


with tempfile.TemporaryDirectory() as folder:
    top = pathlib.Path(folder)
    log = str(top / "log.sqlite")
    tap.perpend("sweep", tap.TERN, "--log", log, stdin="4\n1.00\n0.50\n0\n0.50\nend\n")
    for words in (["solve", tap.TERN, tap.AS_FOUND], ["solve", "--json", tap.TERN, tap.AS_FOUND], RIDGE,
                  [*RIDGE, "--json"],
                  ["board", "survey", *BOARD], ["board", "face", "--json", BOARD[0], tap.AS_FOUND],
                  *(["log", *part, "--log", log]
                    for part in (["list"], ["show", "1"], ["export", "1"], ["check"], ["note", "1", "seen"]))):
        name = " ".join(word for word in words if not word.startswith("/"))
        faults.Faults(top, words).check(t, name, fault_in, 12)
t.done()
