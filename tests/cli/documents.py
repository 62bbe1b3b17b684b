#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""The documents point at what exists: links and their anchors, files and folders that are named, the
commands of sh blocks, the options of the manual pages, which are set without a complaint."""
import re
import shutil
import subprocess
import tempfile

import tap

t = tap.Tap()
PAGES = [tap.ROOT / "README.md", tap.ROOT / "DEVELOPERS.md", *sorted((tap.ROOT / "docs").glob("*.md"))]
FENCED = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
NAMED = re.compile(r"`([\w.*][\w.*/-]*)`")


def prose(page):
    return FENCED.sub("", page.read_text(encoding="utf-8"))


def anchors(page):
    """The anchors of a page's headings, as the usual readers of Markdown make them."""
    made = set()
    for heading in re.findall(r"^#+ +(.*)$", prose(page), re.MULTILINE):
        text = re.sub(r"\[([^\]]*)\]\([^)]*\)", r"\1", heading).replace("`", "").strip().lower()
        made.add(re.sub(r"[^\w\- ]", "", text).replace(" ", "-"))
    return made


def broken_links(page):
    wrong = []
    for target in re.findall(r"\]\(([^)\s]+)\)", prose(page)):
        if re.match(r"[a-z]+:", target):
            continue
        path, _, anchor = target.partition("#")
        there = (page.parent / path).resolve() if path else page
        if not there.exists() or (anchor and anchor not in anchors(there)):
            wrong.append(target)
    return wrong


def missing_files(page):
    """Names in backticks that begin with one of the project's folders; a word in capitals stands for
    any name."""
    folders = ("docs/", "examples/", "include/", "src/", "tests/", ".ci/")
    return [name for name in NAMED.findall(prose(page)) if name.startswith(folders)
            and not list(tap.ROOT.glob(re.sub(r"(?<![A-Za-z])[A-Z]{4,}(?![A-Za-z])", "*", name.rstrip("/"))))]


def missing_tests(page):
    """Test programs that a page names: `test_NAME`, or NAME where a line speaks of `tests/...`."""
    known = {path.stem for path in (tap.ROOT / "tests").rglob("*.*")}
    return [name for name in re.findall(r"`(test_\w+)`", prose(page)) if name not in known]


def commands_of(block):
    """The first word of every command in a block of shell lines."""
    lines = re.sub(r"\\\n", " ", block).splitlines()
    for line in lines:
        line = re.sub(r"(^|\s)#.*", "", line).strip().removeprefix("$ ")
        for part in re.split(r"&&|\|\|?|;", line):
            words = [word for word in part.split() if not re.match(r"\w+=", word)]
            if words:
                yield words[0], words[1:]


def missing_commands(page):
    wrong = []
    text = page.read_text(encoding="utf-8")
    blocks = [body for kind, body in FENCED.findall(text) if kind == "sh"]
    blocks += [re.sub(r"^    ", "", body, flags=re.MULTILINE)
               for body in re.findall(r"(?:^    (?:\.ci|meson|ninja|git|tests|build)\S*.*\n)+", text,
                                      re.MULTILINE)]
    for block in blocks:
        for word, words in commands_of(block):
            if word == "perpend":
                if words and not words[0].startswith("-") and \
                        tap.perpend(words[0], "--help").status != 0:
                    wrong.append(f"perpend {words[0]}")
            elif "/" in word:
                if not word.startswith("build/") and not (tap.ROOT / word).exists():
                    wrong.append(word)
            elif word != "cd" and shutil.which(word) is None:
                wrong.append(word)
    return wrong


for page in PAGES:
    name = page.relative_to(tap.ROOT).as_posix()
    t.equal(broken_links(page), [], f"{name}: links lead somewhere")
    t.equal(missing_files(page), [], f"{name}: files that it names are there")
    t.equal(missing_tests(page), [], f"{name}: tests that it names are there")
    t.equal(missing_commands(page), [], f"{name}: commands that it says to type are there")

for page in (tap.ROOT / "docs").glob("*.md"):
    parts = re.findall(r"^## (.*)$", prose(page), re.MULTILINE)
    listed = re.findall(r"^- \[([^\]]*)\]\(#", prose(page), re.MULTILINE)
    t.equal(listed, parts, f"docs/{page.name}: its contents are its sections, in order")

# -- headers point at documents ----------------------------------------------------------------
headings = anchors(tap.ROOT / "docs" / "method.md")
wrong = []
for path in [*(tap.ROOT / "include").rglob("*.h"), *(tap.ROOT / "src").rglob("*.[ch]")]:
    text = re.sub(r"\s*\n\s*\*? ?", " ", path.read_text(encoding="utf-8"))
    for title in re.findall(r'docs/method\.md,? "([^"]+)"', text):
        if re.sub(r"[^\w\- ]", "", title.lower()).replace(" ", "-") not in headings:
            wrong.append(f"{path.name}: {title}")
t.equal(wrong, [], "the sections of docs/method.md that the code names are there")

# -- manual pages ------------------------------------------------------------------------------
with tempfile.TemporaryDirectory() as folder:
    env = tap.environment(HOME=folder, XDG_DATA_HOME=folder)
    for page in sorted((tap.ROOT / "docs").glob("perpend-*.1.scd")):
        command = page.name.removeprefix("perpend-").removesuffix(".1.scd")
        options = sorted(set(re.findall(r"(?<![\w-])--([a-z][a-z-]*)", page.read_text()))
                         - {"help"})
        # a word that no command knows comes after it, so that nothing is ever done
        wrong = [option for option in options
                 if f"unknown option '--{option}" in
                 tap.perpend(command, f"--{option}=1", "--no-such-option", env=env, cwd=folder).err]
        t.equal(wrong, [], f"{command} takes the {len(options)} options of its page")

renderer = shutil.which("scdoc") and shutil.which("groff")
for page in sorted((tap.ROOT / "docs").glob("*.scd")):
    name = f"{page.name} makes a manual page that groff has nothing to say against"
    if not renderer:
        t.skip(name, "no scdoc or no groff here")
        continue
    made = subprocess.run(["scdoc"], input=page.read_bytes(), capture_output=True, check=False)
    shown = subprocess.run(["groff", "-man", "-ww", "-Tutf8", "-rLL=80n", "-Kutf8"],
                           input=made.stdout, capture_output=True, check=False)
    said = (made.stderr + shown.stderr).decode("utf-8", "replace")
    text = re.sub(r"\x1b\[[\d;]*m|.\x08", "", shown.stdout.decode("utf-8", "replace"))
    wide = [line for line in text.splitlines() if len(line) > 84]  # examples stand far in
    t.ok(made.returncode == shown.returncode == 0 and not said and not wide and "NAME" in text, name,
         said + "\n".join(wide[:5]))
t.done()
