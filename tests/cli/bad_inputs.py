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
from bad_machines import MACHINES, machine

t = tap.Tap()
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
     ":3: sweep 1: readings is missing; a sweep needs readings, a cut, or both"),
    ("a step at no side", JOB + "  - cut: [{higher: NE, step: 1}]\n",
     ':3: sweep 1: cut 1: higher "NE" is not a side; use front, back, left or right'),
    ("a step less than nothing", JOB + "  - cut: [{higher: back, step: -0.1}]\n",
     ':3: sweep 1: cut 1: step "-0.1" must be 0 or more; check it'),
    ("a step without a side", JOB + "  - cut: [{step: 0.1}]\n",
     ":3: sweep 1: cut 1: higher is missing; a step needs higher and step"),
    ("a test cut one way", JOB + "  - cut: [{higher: back, step: 0.1}]\n",
     ': sweep "sweep 1": a test cut along one axis cannot tell the lean; cut along Y as well and read '
     'its step, or sweep'),
    ("a sweep with no reading", JOB + "  - readings: []\n",
     ":3: sweep 1: readings needs 1 or more and has 0; write one reading behind each dash"),
    ("a key misspelt in a sweep", JOB + "  - nmae: a\n    " + READINGS + "\n",
     ':3: sweep 1: unknown key "nmae"; a sweep takes name, date, x, y, readings, cut, did, sure and note; '
     'did you mean name?'),
    ("a key unknown in a job", "perpend: 1\nday: today\nsweeps:\n  - " + READINGS + "\n",
     ':2: unknown key "day"; a job file takes perpend, date, who, temperature, measured, '
     "inside, stock, learned and sweeps"),
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
     ':4: sweep 1: did 1: unknown joint "clam plate"; the mount has clamp plate; did you mean clamp plate?'),
    ("did at a bolt unknown",
     JOB + "  - " + READINGS + "\n    did: [{joint: clamp plate, bolt: middle, shim: 1}]\n",
     ':4: sweep 1: did 1: unknown bolt "middle"; clamp plate has top left, top right, bottom '
     'left and bottom right'),
    ("did without a joint", JOB + "  - " + READINGS + "\n    did: [{bolt: top left, shim: 1}]\n",
     ":4: sweep 1: did 1: joint is missing; an entry of did needs joint"),
    ("did without what",
     JOB + "  - " + READINGS +
     "\n    did: [{joint: clamp plate, bolt: top left}]\n",
     ":4: sweep 1: did 1: says nothing about what was done; say one of shim, slide, turns "
     "and angle in each entry"),
    ("did two things at once",
     JOB + "  - " + READINGS +
     "\n    did: [{joint: clamp plate, bolt: top left, shim: 1, turns: 1}]\n",
     ":4: sweep 1: did 1: says more than one thing; say one of shim, slide, turns and angle in "
     "each entry"),
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
    ("10001 readings", JOB + "  - readings:\n" + "    - {at: front, reading: 1}\n" * 10001,
     ":4: sweep 1: readings has 10001; at most 10000 are taken"),
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
     ':2: reading "1 furlong" has an unknown unit; use mm, cm, um, in, " or thou'),
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
    ("10001 rows", "at,reading\n" + "front,1\n" * 10001,
     ":10002: more than 10000 readings; a job holds no more"),
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
    large.write_bytes(b"#" * ((1 << 20) + 1))
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
        ("a control character that only YAML minds, far down",
         write("far.yaml", machine(*["# a line"] * 495, "# \u0081")),
         ":501: has a control character (code 129); remove it"),
        ("no character", write("none.yaml", machine("machine: a\ufdd0b")),
         ":6: has a code that stands for no character (code 64976); remove it"),
        ("a control character", write("control.yaml", machine("machine: a\bb")),
         ":6: has a control character (code 8); remove it"),
        ("more than 1 MiB", str(large), ": is larger than 1 MiB; is it the right file?"),
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
    filled = tern + b"# " + b"x" * ((1 << 20) - len(tern) - 3) + b"\n"
    run = tap.perpend("solve", "--json", write("filled.yaml", filled), "level.csv")
    t.equal(run.out, plain.out, "1 MiB are read")
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
    run = tap.perpend("solve", write("m.yaml", machine("cut: {stepover: 18, apart: 3}")),
                      write("j.yaml", JOB + "  - cut: [{higher: back, step: 1}]\n"))
    t.refused(run, 2, "j.yaml:3: sweep 1: cut: both places must be clear of what the two passes share and "
              "under the flat of the bit; change cut in the machine file, or sweep", "a test cut that shows nothing")
    check_files()
    check_computer()
    check_good()
    os.chdir("/")
t.done()
