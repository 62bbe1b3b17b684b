#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Reports: the three formats say what --json says, from files and from the log; HTML is valid and
alone, PDF has its fonts and bookmarks, nothing of others is overwritten."""
import hashlib
import html.parser
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree

import tap

t = tap.Tap()
FILL = pathlib.Path(sys.argv[3])
FOLDER = pathlib.Path(tempfile.mkdtemp(prefix="perpend-report-"))
ENV = tap.environment(SOURCE_DATE_EPOCH="1778090400")
JOB = """perpend: 1
date: 2026-05-06 18:40 +02:00
sweeps:
  - name: as found
    readings: [{at: front, reading: 1.10}, {at: right, reading: 0.55}, {at: back, reading: 0.10},
      {at: left, reading: 0.60}, {at: NE, reading: 0.25}, {at: 130, reading: 0.85}]
    did:
      - {joint: clamp plate, bolt: top left, shim: 0.5}
      - {joint: clamp plate, bolt: top right, shim: 0.45}
  - name: after shims
    readings: [{at: front, reading: 0.70}, {at: right, reading: 0.55}, {at: back, reading: 0.50},
      {at: left, reading: 0.65}]
    did: plan
  - name: as left
    readings: [{at: front, reading: 0.60}, {at: right, reading: 0.55}, {at: back, reading: 0.60},
      {at: left, reading: 0.60}]
"""
NASTY = "<script>alert('x')</script> & \"]]> --"
HEBREW = "כרסומת המועדון"
CHINESE = "艇库雕刻机"


def has(tool):
    return shutil.which(tool) is not None


def run(*words, env=ENV, cwd=FOLDER):
    return tap.perpend(*words, env=env, cwd=cwd)


def write(name, text):
    (FOLDER / name).write_text(text, encoding="utf-8")
    return name


def machine(name, **changes):
    text = pathlib.Path(tap.TERN).read_text().replace("machine: Tern", f"machine: {json.dumps(name)}")
    for old, new in changes.items():
        text = re.sub(rf"^{old}: .*$", f"{old}: {new}", text, flags=re.MULTILINE)
    return text


def plain(text):
    """Blanks as blanks, minus signs as hyphens, names without isolate marks."""
    text = re.sub("[\u2068\u2069\u200e\u200f\u202a-\u202e]", "", text)
    return " ".join(text.replace("\u00a0", " ").replace("\u2212", "-").split())


def pdf_text(path, *options):
    done = subprocess.run(["pdftotext", *options, path, "-"], capture_output=True, check=True,
                          cwd=FOLDER)
    return done.stdout.decode()


class Page(html.parser.HTMLParser):
    """What an HTML report holds: tables as rows of cells, texts, ids, attributes."""

    def __init__(self, text):
        super().__init__()
        self.tables, self.ids, self.tags, self.attributes, self.headings = [], [], [], [], []
        self.texts, self.open, self.facts = [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        if tag not in ("meta", "path", "circle", "rect", "br"):
            self.open.append(tag)
        self.tags.append(tag)
        for name, value in attributes:
            self.attributes.append((tag, name, value))
            if name == "id":
                self.ids.append(value)
        if tag == "table":
            self.tables.append([])
        if tag == "tr":
            self.tables[-1].append([])
        if tag in ("td", "th"):
            self.tables[-1][-1].append("")
        if tag in ("h1", "h2", "h3"):
            self.headings.append([tag, ""])
        if tag == "dt":
            self.facts.append(["", ""])

    def handle_startendtag(self, tag, attributes):
        self.handle_starttag(tag, attributes)
        if self.open and self.open[-1] == tag:
            self.open.pop()

    def handle_endtag(self, tag):
        while self.open and self.open.pop() != tag:
            pass

    def handle_data(self, data):
        if "style" in self.open:
            return
        self.texts.append(data)
        if {"td", "th"} & set(self.open):
            self.tables[-1][-1][-1] += data
        if {"dt", "dd"} & set(self.open):
            self.facts[-1]["dd" in self.open] += data
        if self.headings and {"h1", "h2", "h3"} & set(self.open):
            self.headings[-1][1] += data

    def text(self):
        return plain(" ".join(self.texts))

    def fact(self, name):
        """What stands beside that name, wherever it stands."""
        return [plain(value) for found, value in self.facts if plain(found) == name]

    def table(self, head):
        """The first table whose first row is this."""
        for rows in self.tables:
            if [plain(cell) for cell in rows[0]] == head:
                return [[plain(cell) for cell in row] for row in rows[1:]]
        return []


def ridge_is(shown, under, exact):
    """A printed ridge; one too small to print is under a thousandth."""
    return exact < float(shown) if under else rounds_to(shown, exact)


def rounds_to(shown, exact):
    """A printed number is the exact one, rounded to the digits it shows."""
    digits = len(shown.partition(".")[2])
    return abs(float(shown) - exact) <= 0.500001 * 10 ** -digits


# ---- numbers agree with --json --------------------------------------------------------------
write("tern.yaml", machine("Tern"))
write("heron.yaml", machine("Heron", unit="in", arm="75 mm", cutter="{diameter: 22 mm}",
                            gauge="{kind: gap, step: 0.05 mm}", goal="{ridge: 0.02 mm}",
                            facing="{stepover: 10 mm, along: both, depth: 0.2 mm}")
      .replace("[-30, 40,", "[-1.2, 1.6,").replace("[ 30, 40,", "[1.2, 1.6,")
      .replace("210]", "8.3]").replace("130]", "5.1]").replace("thick: 0.05", "thick: 0.05 mm")
      .replace("hole: 5.5", "hole: 5.5 mm"))
write("job.yaml", JOB)
write("inch.yaml", re.sub(r"reading: ([0-9.]+)", r"reading: \1 mm",
                          re.sub(r"shim: ([0-9.]+)", r"shim: \1 mm", JOB)))
for machine_file, job_file, inch in (("tern.yaml", "job.yaml", False),
                                     ("heron.yaml", "inch.yaml", True)):
    name = machine_file[:-5]
    answer = json.loads(run("solve", machine_file, job_file, "--json").out)["measurements"]
    first = answer[0]
    for kind in ("html", "pdf", "text"):
        made = run("report", "--from", machine_file, job_file, "--format", kind, "--full")
        t.equal((made.status, made.err), (0, ""), f"{name}: a report as {kind}")
        t.equal(made.out.strip(), f"{name.title()}-2026-05-06.{kind[:3] if kind == 'text' else kind}"
                .replace(".tex", ".txt"), f"{name}: its name is machine and date")
    stem = FOLDER / f"{name.title()}-2026-05-06"
    page = Page(stem.with_suffix(".html").read_text(encoding="utf-8"))
    text = plain(stem.with_suffix(".txt").read_text(encoding="utf-8"))
    pdf = plain(pdf_text(stem.with_suffix(".pdf"))) if has("pdftotext") else None
    slope, small = (12.0, 1 / 0.0254) if inch else (1.0, 1.0)
    cells = []
    for way in ("right", "back"):
        t.equal(len(page.fact(f"Lean toward the {way}")), len(answer), f"{name}: {way} for each round")
        for cell, m in zip(page.fact(f"Lean toward the {way}"), answer):
            number, _, rest = cell.partition(" ± ")
            t.ok(number and rounds_to(number, slope * m["lean"][way]) and
                 rounds_to(rest.split(" ")[0], slope * 2 * m["uncertainty"][way]),
                 f"{name}: lean {way} and ± are those of --json", f"{cell} {m['lean']}")
            cells.append(cell)
    feed = "Ridge, fed along X" + (" or Y, whichever is worse" if inch else "")
    t.equal(len(page.fact(feed)), len(answer), f"{name}: a ridge for each round")
    for cell, m in zip(page.fact(feed), answer):
        numbers = re.findall(r"[0-9.]+", cell)
        t.ok(len(numbers) == 3 and
             ridge_is(numbers[0], "under" in cell, small * m["ridge"]["height"]) and
             all(rounds_to(shown, small * m["ridge"][key])
                 for shown, key in zip(numbers[1:], ("low", "high"))),
             f"{name}: ridge and interval are those of --json", f"{cell} {m['ridge']}")
        cells.append(cell)
    t.equal(page.fact("Verdict"), [m["ridge"]["verdict"] for m in answer],
            f"{name}: so are the verdicts")
    for shown, m in zip(page.fact("Roughness Ra of the floor"), answer):
        t.ok(ridge_is(re.search(r"[0-9.]+", shown).group(), "under" in shown,
                      small * m["ridge"]["ra"]), f"{name}: so is the roughness")
    length = "in" if inch else "mm"
    readings = [row for rows_ in page.tables if plain(rows_[0][0]) == "at"
                for row in [[plain(c) for c in r] for r in rows_[1:]]]
    residuals = [r for m in answer for r in m["fit"]["residuals"]]
    t.equal(len(readings), len(residuals), f"{name}: a row for each reading")
    for row, wanted in zip(readings, residuals):
        t.ok(rounds_to(row[1], wanted["reading"] / (25.4 if inch else 1)) and
             rounds_to(row[2], small * wanted["residual"]),
             f"{name}: the reading and residual at {row[0]}", f"{row} {wanted}")
        cells += row[:3]
    work = page.table(["bolt", "advised", "done"])
    planned = {bolt["name"]: bolt for step in first["plan"]["steps"] if step["move"] == "shim"
               for bolt in step["bolts"]}
    t.equal(len(work), 4, f"{name}: a row for each bolt")
    for row in work:
        bolt = planned.get(row[0], {})
        stack = bolt.get("stack") or []
        wanted = sum(part["thick"] * part["count"] for part in stack) or bolt.get("shim") or 0
        shown = re.search(r"shim \+([0-9.]+)", row[1])
        t.ok(rounds_to(shown.group(1), small * wanted) if shown else wanted == 0,
             f"{name}: what was advised for {row[0]}", f"{row} {bolt}")
    t.ok(re.search(r"shim \+" + (r"19\.[67]|shim \+20" if inch else r"0\.50"), work[0][2]),
         f"{name}: what was done", work)
    cells += [cell for row in work for cell in row]
    missing = [cell for cell in cells if re.sub(r"\s", "", cell) not in re.sub(r"\s", "", text)
               and len(cell) < 24]
    t.equal(missing, [], f"{name}: the text has the same numbers")
    if pdf is None:
        t.skip(f"{name}: the PDF has the same numbers", "no pdftotext")
    else:
        t.equal([cell for cell in cells if cell not in pdf and len(cell) < 24], [],
                f"{name}: the PDF has the same numbers")
    data = (FOLDER / machine_file).read_bytes() + (FOLDER / job_file).read_bytes()
    t.contains(text, hashlib.sha256(data).hexdigest(), f"{name}: the digest is that of the two files")
    t.contains(text, "perpend " + tap.perpend("--version").out.split()[1], f"{name}: and the version")

# ---- HTML ------------------------------------------------------------------------------------
SVG = "{http://www.w3.org/2000/svg}"
for name, given in (("nasty", NASTY), ("hebrew", HEBREW), ("chinese", CHINESE)):
    write(f"{name}.yaml", machine(given))
for name in ("tern", "heron", "nasty", "hebrew", "chinese"):
    job = "inch.yaml" if name == "heron" else "job.yaml"
    made = run("report", "--from", f"{name}.yaml", job, "--output", f"{name}.html",
               "--who", NASTY, "--note", f"line one\n{NASTY}\n{HEBREW}")
    t.equal((made.status, made.out), (0, f"{name}.html\n"), f"{name}: written under a name given")
    source = (FOLDER / f"{name}.html").read_text(encoding="utf-8")
    page = Page(source)
    if has("tidy"):
        done = subprocess.run(["tidy", "-q", "-e", "-utf8", FOLDER / f"{name}.html"],
                              capture_output=True, check=False)
        t.equal((done.returncode, done.stderr.decode()), (0, ""), f"{name}: tidy finds nothing")
    else:
        t.skip(f"{name}: tidy finds nothing", "no tidy")
    t.ok(not {"script", "link", "img", "iframe", "object", "embed", "base"} & set(page.tags),
         f"{name}: nothing that runs or loads")
    t.equal([a for a in page.attributes if a[1].startswith("on") or a[1] in ("src", "href")], [],
            f"{name}: no handlers, no links")
    t.ok(not re.search(r"https?:|@import|url\((?!#)", source), f"{name}: no address in it")
    t.equal(len(page.ids), len(set(page.ids)), f"{name}: each id once")
    t.ok(("html", "lang", "en") in page.attributes, f"{name}: its language is said")
    t.equal(source.count("<svg"), source.count('role="img"'), f"{name}: pictures say they are")
    labels = [v for tag, k, v in page.attributes if tag == "svg" and k == "aria-label"]
    t.ok(len(labels) == source.count("<svg") and all(labels), f"{name}: each has a name")
    for picture in re.findall(r"<svg.*?</svg>", source, re.DOTALL):
        tree = xml.etree.ElementTree.fromstring(picture)
        t.ok(len(tree.get("aria-label")) > 40 and tree.find("text") is not None,
             f"{name}: a picture is XML, with words and a description, once")
    levels = [int(tag[1]) for tag, _ in page.headings]
    t.ok(levels[0] == 1 and levels.count(1) == 1 and
         all(b - a <= 1 for a, b in zip(levels, levels[1:])), f"{name}: headings in order", levels)
    t.ok({("th", "scope", "col"), ("th", "scope", "row")} <= set(page.attributes), f"{name}: tables have heads")
    t.contains(page.text(), plain(NASTY), f"{name}: a nasty name stays a name")
t.contains(page.text(), CHINESE, "a Chinese name is there")

# ---- PDF -------------------------------------------------------------------------------------
if all(has(tool) for tool in ("pdfinfo", "pdffonts", "pdftotext")):
    def info(path):
        out = subprocess.run(["pdfinfo", path], capture_output=True, check=True, cwd=FOLDER).stdout
        return dict(re.findall(r"^([A-Za-z ]+): +(.*?)$", out.decode(), re.MULTILINE))

    for paper, size in (("a4", "595.276 x 841.89 pts (A4)"), ("letter", "612 x 792 pts (letter)")):
        run("report", "--from", "tern.yaml", "job.yaml", "--output", f"{paper}.pdf", "--paper", paper,
            "--who", "A. Oarsman", "--full")
        facts = info(f"{paper}.pdf")
        t.equal((facts["Page size"], facts["Title"], facts["Author"]), (size,
                "Tern, spindle tram record, 2026-05-06 18:40 +02:00", "A. Oarsman"), f"{paper}: size and names")
        fonts = subprocess.run(["pdffonts", FOLDER / f"{paper}.pdf"], capture_output=True,
                               check=True).stdout.decode().splitlines()[2:]
        t.ok(fonts and all(re.search(r" yes +(yes|no) +yes +\d+ +\d+$", line) for line in fonts),
             f"{paper}: every font is in the file and maps to characters", "\n".join(fonts))
        raw = (FOLDER / f"{paper}.pdf").read_bytes()
        t.ok(b"/Outlines" in raw and raw.count(b"/Title") >= 6, f"{paper}: bookmarks")
        t.ok(b"/StructTreeRoot" in raw and b"/Lang (en)" in raw, f"{paper}: its structure and language are said")
        t.equal(facts.get("Tagged"), "yes", f"{paper}: it is tagged")
        t.equal(facts.get("Pages") is not None and int(raw.rsplit(b"startxref", 1)[1].split()[0]),
                raw.rindex(b"\nxref\n") + 1, f"{paper}: the table of objects is where it is said to be")
        run("report", "--from", "tern.yaml", "job.yaml", "--output", f"one-{paper}.pdf", "--paper", paper)
        t.equal(info(f"one-{paper}.pdf")["Pages"], "1", f"{paper}: the record is one page")
        pages = int(facts["Pages"])
        for number in range(2, pages + 1):
            words = pdf_text(f"{paper}.pdf", "-f", str(number), "-l", str(number))
            t.contains(words, f"page {number} of {pages}", f"{paper}: page {number} has its number")
    for name, word in (("hebrew", HEBREW), ("chinese", CHINESE)):
        run("report", "--from", f"{name}.yaml", "job.yaml", "--output", f"{name}.pdf")
        known = subprocess.run(["fc-list", f":lang={'he' if name == 'hebrew' else 'zh-cn'}"],
                               capture_output=True, check=False).stdout if has("fc-list") else b""
        if known:
            t.contains(plain(pdf_text(f"{name}.pdf")), word, f"{name}: the name can be copied out")
        else:
            t.skip(f"{name}: the name can be copied out", "no font for it here")
    again = (FOLDER / "a4.pdf").read_bytes()
    run("report", "--from", "tern.yaml", "job.yaml", "--output", "again.pdf", "--who", "A. Oarsman",
        "--full")
    t.equal((FOLDER / "again.pdf").read_bytes() == again, True,
            "the same data at the same moment give the same bytes")
else:
    t.skip("PDF", "no poppler")

# ---- text ------------------------------------------------------------------------------------
out = run("report", "--from", "tern.yaml", "job.yaml", "--output", "-", "--format", "text", "--full").out
t.ok(all(len(line) <= 80 for line in out.splitlines()), "text keeps to 80 columns")
order = [out.find(part) for part in (
    "Read   ", "Good enough\n", "In the mount now\n", "Sweep again\n", "What the page rests on\n",
    "The machine as it was\n", "Method and standards\n", "Cautions\n")]
t.ok(order == sorted(order) and order[0] >= 0, "the parts stand in the order of reading", order)
t.contains(out, "Unplug the spindle before a hand goes near it.", "the cautions are there")
t.ok(not re.search("Figure|shaded|filled bolt|[Tt]he band", out), "no captions without their figures", out)
evening = run("report", "--from", tap.TERN, tap.ROOT / "examples" / "tern-evening.yaml", "--output", "-",
              "--format", "text").out
t.contains(plain(evening), "shim +0.70 mm at top left, top right.", "what several rounds come to is said")
t.contains(plain(evening), "Used: 8 × 0.05 mm brass, 10 × 0.1 mm drink can.", "and what was used")
for part in ("boat shed", "Saturday 28 November 2026, 19:12 to 20:21, UTC+1", "A. Oarsman",
             "At the latest Saturday 29 May 2027.", "ridge along X ____"):
    t.contains(plain(evening), part, f"the record says: {part}")
for word in ("as left", "foretold", "Residual", "not stated"):
    t.lacks(evening, word, f"and not: {word}")
measured = (tap.ROOT / "examples" / "tern-evening.yaml").read_text().replace(
    "who:", "measured: {x: 0.012}\nwho:")
t.contains(plain(run("report", "--from", tap.TERN, write("measured.yaml", measured), "--output", "-",
                     "--format", "text").out), "ridge along X 0.012 mm ridge along Y ____",
           "a ridge that was measured stands apart from the one expected")
write("cut.yaml", JOB + "    cut: [{higher: back, step: 0.05}, {higher: left, step: 0}]\n")
t.contains(plain(run("report", "--from", "tern.yaml", "cut.yaml", "--output", "-", "--format", "html").out),
           "test cut the back higher by 0.05, the left higher by 0.00", "a round has the steps of its test cut")
open_job = run("report", "--from", "tern.yaml", tap.AS_FOUND, "--output", "-", "--format", "text")
t.equal(open_job.status, 0, "a report of a goal not met is written all the same")
t.contains(open_job.out, "The plan", "and says what is to do")
t.contains(open_job.out, "Read   ____", "and what is not stated is a line to fill in")
HALF = """perpend: 1
sweeps:
  - name: as found
    readings: [{at: front, reading: 1.00}, {at: right, reading: 0.50}, {at: back, reading: 0},
      {at: left, reading: 0.50}]
    did:
      - {joint: clamp plate, bolt: top left, shim: 0.5}
      - {joint: clamp plate, bolt: top right, shim: 0.5}
  - name: after shims
    readings: [{at: front, reading: 0.80}, {at: right, reading: 0.40}, {at: back, reading: 0.20},
      {at: left, reading: 0.60}]
"""
(FOLDER / "half.yaml").write_text(HALF, encoding="utf-8")
half = run("report", "--from", tap.TERN, FOLDER / "half.yaml", "--output", "-", "--format", "text",
           "--full")
steps = half.out[half.out.index("The plan"):half.out.index("Sweep again")]
t.equal(re.findall(r"(?m)^ *(\d+)\. ", steps), ["1", "2", "3", "4"], "its steps are counted through")
t.contains(" ".join(steps.split()), "until the gap at the", "what to watch stands in its step")
t.contains(plain(half.out), "sprang back", "a round says what its adjustment showed")
t.lacks(half.out, "The plan allows", "and speaks of no steps that are elsewhere")
t.lacks(half.out, "Nothing more to do", "nor is it said to be over")
t.contains(plain(open_job.out), "Not yet ======= Expected ridge 0.067 mm", "and what is wrong")
write("found-bed.yaml", (FOLDER / "tern.yaml").read_text().replace("bed: faced", "bed: as found"))
t.contains(plain(run("report", "--from", "found-bed.yaml", tap.AS_FOUND, "--output", "-", "--format",
                     "text").out), "At three places that are not in a line, or with float glass under the tip",
           "on a bed as found it says what would tell lean and bed apart")
cusps = write("cusps.yaml", (FOLDER / "tern.yaml").read_text().replace("corner: 0", "corner: 5").replace(
    "stepover: 10", "stepover: 18"))
run_of_cusps = run("report", "--from", cusps, tap.AS_FOUND, "--output", "-", "--format", "text")
t.lacks(run_of_cusps.out, "nan", "and no number is made of it")
after = JOB[:JOB.index("  - name: after")]
unmeasured = run("report", "--from", "tern.yaml", write("after.yaml", after), "--output", "-",
                 "--format", "text")
t.contains(plain(unmeasured.out), "Not swept since the work", "work after the last sweep is told")
t.lacks(unmeasured.out, "almost surely", "and nothing is said to be sure")
doubt = write("doubt.yaml", JOB[:JOB.index("    did:")].replace("reading: 0.25", "reading: 0.75"))
doubtful = run("report", "--from", "tern.yaml", doubt, "--output", "-", "--format", "text").out
t.contains(doubtful, "Read again\n", "a reading in doubt is the verdict")
t.lacks(doubtful, "The plan", "and no plan stands over it")
t.lacks(doubtful, "in 100)", "nor a chance")
t.lacks(plain(doubtful), "cannot be told apart", "nor is the bed blamed")

# ---- what is there stays there ---------------------------------------------------------------
write("Tern.html", "something else")
refused = run("report", "--from", "tern.yaml", "job.yaml", "--output", "Tern.html")
t.refused(refused, 2, "Tern.html: is there already and is not a report of this job; give another "
          "name, or --force to replace it", "another file is not overwritten")
t.equal((FOLDER / "Tern.html").read_text(), "something else", "and stays as it is")
t.equal(run("report", "--from", "tern.yaml", "job.yaml", "--output", "Tern.html", "--force").status, 0,
        "unless forced")
for kind in ("html", "pdf", "txt"):
    t.equal(run("report", "--from", "tern.yaml", "job.yaml", "--output", f"own.{kind}").status, 0,
            f"{kind}: written")
    longer = write("longer.yaml", JOB + "    did: nothing\n" + JOB[JOB.index("  - name: as left"):].replace("as left", "once more"))
    t.equal(run("report", "--from", "tern.yaml", longer, "--output", f"own.{kind}").status, 0,
            f"{kind}: the same job, gone on, takes its place")
    other = write("other.yaml", JOB.replace("reading: 1.10", "reading: 1.15"))
    t.equal(run("report", "--from", "tern.yaml", other, "--output", f"own.{kind}").status, 2,
            f"{kind}: another job does not")
    t.equal(run("report", "--from", "heron.yaml", "inch.yaml", "--output", f"own.{kind}").status, 2,
            f"{kind}: nor another machine's")
t.equal(run("report", "--from", "tern.yaml", "job.yaml", "--output", "none/there.html").status, 3,
        "a folder that is not there is the disk's failing")
t.equal([name for name in os.listdir(FOLDER) if re.search(r"\.[A-Za-z0-9]{6}$", name)], [],
        "no temporary file is left behind")
os.symlink("own.html", FOLDER / "link.html")
t.equal(run("report", "--from", "tern.yaml", other, "--output", "link.html").status, 2,
        "a link to another job's report is not followed")

# ---- solve draws as well --------------------------------------------------
both = run("solve", "tern.yaml", tap.AS_FOUND, "--json", "--picture", "solve.svg")
t.equal((both.status, both.err), (1, ""), "solve with a picture keeps its own status")
t.equal(json.loads(both.out)["machine"], "Tern", "and its answer")
tree = xml.etree.ElementTree.parse(FOLDER / "solve.svg").getroot()
t.equal(tree.tag, f"{SVG}svg", "the picture is SVG")
words = plain(" ".join(tree.itertext()))
for part in ("Tern, as found", "not good enough", "Readings, mm: as found", "Where the spindle's top leans",
             "clamp plate: what each bolt is to get", "The ridge on the floor", "after the plan"):
    t.contains(words, part, f"the picture shows: {part}")
t.equal(run("solve", "tern.yaml", tap.AS_FOUND, "--picture", "solve.svg").status, 1,
        "a picture takes the place of one that is there")
for words, line in (
        (["solve", "a", "b", "--picture", "a.jpg"],
         "solve: --picture 'a.jpg' ends in none of .svg, .png and .pdf"),
        (["ridge", "--picture", "chart"], "ridge: --picture 'chart' ends in none of .svg, .png and "
         ".pdf"),
        (["report", "--format", "doc"], "report: --format 'doc' is none of html, pdf and text"),
        (["report", "--paper", "a3"], "report: --paper 'a3' is neither a4 nor letter"),
        (["report", "--from", "a"], "report: --from wants a machine file and a file of readings"),
        (["report", "a", "b"], "report: one job at a time; two files go with --from"),
        (["report", "0"], "report: '0' is no job's number; two files go with --from"),
        (["report", "x"], "report: 'x' is no job's number; two files go with --from"),
        (["report", "--log", "none.sqlite"],
         "none.sqlite: there is no log here yet; 'perpend sweep' starts one")):
    t.refused(run(*words), 2, line, " ".join(words))
for ending, start in (("svg", b"<?xml"), ("png", b"\x89PNG"), ("pdf", b"%PDF-1.")):
    chart = run("ridge", "--lean-back", "6.67", "--bit", "22", "--stepover", "10", "--goal", "0.02",
                "--picture", f"chart.{ending}")
    t.equal((chart.status, chart.err), (1, ""), f"a chart as {ending}")
    t.equal((FOLDER / f"chart.{ending}").read_bytes()[:len(start)], start, f"{ending}: begins as such")
words = plain(" ".join(xml.etree.ElementTree.parse(FOLDER / "chart.svg").getroot().itertext()))
for part in ("How much may the spindle lean?", "FRONT and BACK leaning, mm/m", "LEFT and RIGHT",
             "the goal, 0.02 mm", "0.067 mm"):
    t.contains(words, part, f"the chart shows: {part}")

# ---- from the log ----------------------------------------------------------------------------
LOG = FOLDER / "log.sqlite"
subprocess.run([FILL, LOG, tap.TERN, "30", "7", "quick"], check=True)
latest = run("report", "--log", LOG, "--format", "text")
t.equal((latest.status, latest.err), (0, ""), "the latest job of a log")
t.ok(re.fullmatch(r"Tern-\d{4}-\d\d-\d\d-job-30\.txt", latest.out.strip()), "is named so", latest.out)
t.equal(run("report", "last", "--log", LOG, "--format", "text", "--output", "-").out,
        run("report", "--log", LOG, "--format", "text", "--output", "-").out,
        "which may also be called last, as for log export")
third = run("report", "3", "--log", LOG, "--output", "third.html", "--note", "for the folder",
            "--full")
t.equal((third.status, third.out), (0, "third.html\n"), "a job by its number")
page = Page((FOLDER / "third.html").read_text(encoding="utf-8"))
both = run("log", "export", "3", "--log", LOG, "--format", "machine").bytes + \
    run("log", "export", "3", "--log", LOG, "--format", "job").bytes
t.contains(page.text(), hashlib.sha256(both).hexdigest(), "its digest is that of the exported files")
write("exported.yaml", run("log", "export", "3", "--log", LOG, "--format", "job").out)
answer = json.loads(run("solve", "tern.yaml", "exported.yaml", "--json").out)["measurements"]
t.ok(rounds_to(page.fact("Lean toward the back")[-1].split(" ")[0], answer[-1]["lean"]["back"]),
     "its numbers are those of the exported files")
t.contains(page.text(), "for the folder", "the note of the command line")
for number in (1, 2, 30):
    shown = run("report", str(number), "--log", LOG, "--output", "-", "--format", "text", "--full").out
    t.equal("Earlier jobs" in shown, number > 1, f"job {number}: earlier jobs, if there are any")
    t.equal(len(re.findall(r"(?m)^\d{4}-\d\d-\d\d +([\d.]+ mm|under|not swept|standing)", shown)),
            min(number, 24) if number > 1 else 0, f"job {number}: a line for each of them")
for number in range(1, 13):
    exported = json.loads(run("log", "export", str(number), "--log", LOG).out)
    line = plain(re.search(r"(?ms)^Read +(.*?)^Gauge", run("report", str(number), "--log", LOG, "--output", "-",
                           "--format", "text").out).group(1))
    start = exported["started"]
    t.contains(line, start[:4], f"job {number}: when it was")
    t.equal(("given up" in line, "not ended yet" in line),
            (exported["ending"] == "given up", exported["ending"] is None), f"job {number}: how it ended")
notes = json.loads(run("log", "export", "30", "--log", LOG).out)["notes"]
t.ok(all(plain(note["text"]) in plain(shown) for note in notes), "the job's notes are in it")
before = LOG.read_bytes()
run("report", "--log", LOG, "--force")
t.equal(LOG.read_bytes() == before, True, "the log is only read")
t.refused(run("report", "31", "--log", LOG), 2, run("log", "show", "31", "--log", LOG).err.strip()
          .removeprefix("perpend: "), "a job that is not there is refused as the log does")
again = run("report", "--log", LOG, "--format", "text")
t.equal(again.status, 0, "the same job's report is made again")

shutil.rmtree(FOLDER)
t.done()
