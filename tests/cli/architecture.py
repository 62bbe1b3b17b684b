#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What DEVELOPERS.md says of the parts holds: no include goes against the flow of the data, the core
keeps to C11 and GSL, every file says its licence, and no file or function has grown too long."""
import re

import tap

t = tap.Tap()

# Part: the parts whose headers it may include beside its own; of core every room may use the rooms
# that stand before it. include/perpend is everybody's.
MAY_USE = {
    "core": [],
    "files": ["core"],
    "text": ["core", "files"],
    "draw": ["core", "files", "text"],
    "report": ["core", "files", "text", "draw"],
    "page": ["core", "files", "text", "draw", "report"],
    "log": ["core", "files"],
    "cli": ["core", "files", "text", "draw", "report", "log"],
}
ROOMS = ["base", "fit", "ridge", "propagate", "mount", "learn", "plan", "board", "job"]

# Headers from outside the project, by folder. The rest of C11's and POSIX's are everybody's but the
# core's.
LIBRARIES = {
    "core": ["gsl/"],
    "files": ["utf8proc.h", "yaml.h"],
    "log": ["sqlite3.h"],
    "text": ["utf8proc.h"],
    "draw": ["utf8proc.h"],
    "report": ["cairo", "pango/", "utf8proc.h"],
    "page": ["gsl/", "yaml.h"],
    "cli": ["microhttpd.h", "qrencode.h", "readline/"],
}
C11 = {"assert.h", "ctype.h", "errno.h", "float.h", "inttypes.h", "limits.h", "locale.h", "math.h",
       "stdalign.h", "stdarg.h", "stdbool.h", "stddef.h", "stdint.h", "stdio.h", "stdlib.h",
       "string.h", "time.h"}
POSIX = {"arpa/inet.h", "netinet/in.h", "sys/socket.h", "fcntl.h", "getopt.h", "glob.h", "langinfo.h", "pthread.h", "regex.h", "signal.h", "strings.h", "sys/ioctl.h",
         "sys/select.h", "sys/stat.h", "unistd.h"}
IN_CORE = C11 - {"errno.h", "locale.h", "time.h"}
IN_PUBLIC = {"stdbool.h", "stddef.h", "stdint.h"}

# The core prints nothing, opens nothing and asks the system for nothing.
SYSTEM = re.compile(r"(?<![\w.>])(f?printf|f?puts|putchar|fopen|fread|fwrite|getenv|system|exit|"
                    r"abort|setlocale|time|clock|rand)\(")

TOP = {"DEVELOPERS.md", "README.md", "docs", "examples", "include", "meson.build", "meson_options.txt", "src", "tests"}
LICENCE = "SPDX-License-Identifier: GPL-3.0-or-later"
WITH_LICENCE = {".c", ".h", ".py", ".R", ".build", ".bash", ".fish", ".zsh", ".map", ".mjs", ".js", ".css"}
MOST_LINES, MOST_IN_FUNCTION = 500, 60


def sources(*folders, kinds=(".c", ".h")):
    for folder in folders:
        for path in sorted((tap.ROOT / folder).rglob("*")):
            if path.is_file() and path.suffix in kinds:
                yield path


def name_of(path):
    return path.relative_to(tap.ROOT).as_posix()


def includes(path):
    return re.findall(r'^#include ([<"])([^>"]+)[>"]', path.read_text(), re.MULTILINE)


def without_comments(text):
    return re.sub(r'"(?:\\.|[^"\\])*"|/\*.*?\*/', lambda found: '""' if found[0][0] == '"' else "",
                  text, flags=re.DOTALL)


def outside_allowed(path, folder, header):
    if header.startswith("perpend/"):
        return (tap.ROOT / "include" / header).is_file()
    if any(header.startswith(prefix) for prefix in LIBRARIES[folder]):
        return True
    return header in (IN_CORE if folder == "core" else C11 if folder == "text" else C11 | POSIX)


def functions(text):
    """(name, lines) of each function: from the line its declaration begins on to its last brace."""
    lines = text.split("\n")
    for opening in (i for i, line in enumerate(lines) if line == "{"):
        first = opening
        while first > 0 and re.match(r"[\w\s]", lines[first - 1]):
            first -= 1
        closing = lines.index("}", opening)
        yield " ".join(lines[first:opening]), closing - first + 1


# -- which way the data goes -------------------------------------------------------------------
def allowed(folder, path, header):
    part, _, rest = header.partition("/")
    if part == folder == "core":
        own = path.relative_to(tap.ROOT / "src/core").parts[0]
        room = rest.partition("/")[0]
        return ROOMS.index(room) <= ROOMS.index(own)
    return part == folder or part in MAY_USE[folder]


for folder in MAY_USE:
    wrong = []
    for path in sources(f"src/{folder}"):
        for kind, header in includes(path):
            good = allowed(folder, path, header) if kind == '"' else outside_allowed(path, folder, header)
            if not good:
                wrong.append(f"{name_of(path)}: {header}")
    t.equal(wrong, [], f"src/{folder} includes only what it may use")


def circles():
    """Sets of files, a .c with its .h, that include one another in a circle."""
    uses = {}
    for path in sources("src"):
        stem = path.relative_to(tap.ROOT / "src").with_suffix("").as_posix()
        own = {header[:-2] for kind, header in includes(path) if kind == '"'}
        uses.setdefault(stem, set()).update(own - {stem})
    reach = {}
    for start in uses:
        seen, todo = set(), [start]
        while todo:
            for other in uses.get(todo.pop(), ()):
                if other not in seen:
                    seen.add(other)
                    todo.append(other)
        reach[start] = seen
    return {" ".join(sorted(other for other in reach[stem] if stem in reach.get(other, ())))
            for stem in reach if stem in reach[stem]}


t.equal(circles(), set(), "no file includes another in a circle")
wrong = [f"{name_of(path)}: {header}" for path in sources("include")
         for kind, header in includes(path)
         if not (kind == "<" and (header in IN_PUBLIC or header.startswith("perpend/")))]
t.equal(wrong, [], "the public headers need nothing but each other")

# -- the core ----------------------------------------------------------------------------------
wrong = [f"{name_of(path)}: {found[0]}" for path in sources("src/core")
         for found in SYSTEM.finditer(without_comments(path.read_text()))]
t.equal(wrong, [], "the core asks nothing of the system")
exported = r"^(?:const |struct |enum |unsigned |double |bool |int |char |size_t |void )[^;={]*?\b(perpend_\w+)\("
public = set(re.findall(r"\b(perpend_\w+)\(",
                        re.sub(r"\btypedef [^;{]*;", "", "".join(
                            without_comments(p.read_text()) for p in sources("include")))))
defined = set()
for path in sources("src"):
    if path.suffix == ".c":
        defined |= set(re.findall(exported, without_comments(path.read_text()), re.MULTILINE))
t.equal(defined - public, set(), "what is named perpend_ is public")
t.equal(public - defined, set(), "what is public is there")

# A comment goes with what follows it, up to an empty line or the next comment.
bare, silent = [], []
for path in sources("include"):
    text = re.sub(r"\bstruct \w+ \{.*?\n\};", "", path.read_text(), flags=re.DOTALL)
    for block in re.split(r"\n\n+|\n(?=/\*\*)", text):
        comment = block.partition("*/")[0] if block.startswith("/**") else ""
        for kind, name in re.findall(r"^([a-z][^;(]*?)\*?\b(perpend_\w+)\(", block, re.MULTILINE):
            if not comment and not kind.startswith("typedef"):
                bare.append(name)
            elif kind.strip() == "int" and not re.search(r"Errors?:|As above", comment):
                silent.append(name)
t.equal(bare, [], "every public function has a comment")
t.equal(silent, [], "every one that can fail says how")

# -- every file --------------------------------------------------------------------------------
top = {path.name for path in tap.ROOT.iterdir() if not path.name.startswith(".")}
t.equal({name for name in top - TOP if not name.startswith("build")}, set(),
        "the top level holds the pages, the build and the folders")
files = [path for folder in ("src", "include", "tests", "examples", "docs", ".ci")
         for path in sorted((tap.ROOT / folder).rglob("*")) if path.is_file()]
files.append(tap.ROOT / "meson.build")
wrong = [name_of(path) for path in files
         if (path.suffix in WITH_LICENCE or path.parent.name == ".ci" or path.name == "run")
         and "__pycache__" not in path.parts
         and LICENCE not in "".join(path.read_text(errors="replace").splitlines(True)[:3])]
t.equal(wrong, [], "every source file names its licence in the first lines")
wrong = [name_of(path) for path in sources("src")
         if re.search(r"\bbuffer_addf\([^;]*\bbuffer_text\(", path.read_text())]
t.equal(wrong, [], "a phrase goes into another by buffer_add, which notices when it is lost; %s does not")
long = [f"{name_of(path)}: {len(path.read_text().splitlines())}"
        for path in sources("src", "include", "tests", "examples", kinds=(".c", ".h", ".py"))
        if len(path.read_text().splitlines()) > MOST_LINES]
t.equal(long, [], f"no file has more than {MOST_LINES} lines")
wrong = [f"{name_of(path)}: {head}: {count}" for path in sources("src")
         for head, count in functions(path.read_text()) if count > MOST_IN_FUNCTION]
t.equal(wrong, [], f"no function of src has more than {MOST_IN_FUNCTION} lines")
t.done()
