#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""same HERE THERE JSON: what tests/portable/portable.c printed here and as WebAssembly, and what
'perpend solve --json' says. Words and page are the same to the byte. So is the JSON but for the last
digits of its numbers, which the C libraries' sines and roots may round either way."""
import json
import pathlib
import sys


def same(a, b, place="answer"):
    if isinstance(a, dict) and isinstance(b, dict) and list(a) == list(b):
        for key in a:
            same(a[key], b[key], f"{place}.{key}")
    elif isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        for i, pair in enumerate(zip(a, b)):
            same(*pair, f"{place}[{i}]")
    elif not (type(a) is type(b) and (abs(a - b) <= 1e-12 * max(1, abs(a)) if isinstance(a, float) else a == b)):
        sys.exit(f"{place}: {a!r} here, {b!r} there")


here, there, answer = (pathlib.Path(name).read_text("utf-8") for name in sys.argv[1:])
(first, end), (second, other_end) = (json.JSONDecoder().raw_decode(text) for text in (here, there))
same(first, second)
if here[end:] != there[other_end:]:
    sys.exit("the words or the page differ")
if here[:end] + "\n" != answer:
    sys.exit("'perpend solve --json' says something else")
print(f"{len(there)} characters, the same here and as WebAssembly")
