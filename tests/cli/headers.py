# SPDX-License-Identifier: GPL-3.0-or-later
"""Each public header stands alone, in C and in C++: nothing but itself need be included first."""
import shutil
import subprocess
import tempfile

import tap

WARNINGS = ["-Wall", "-Wextra", "-Wpedantic", "-Wshadow", "-Wconversion", "-Werror"]
LANGUAGES = [("C", "cc", ["-std=c11", "-x", "c"]), ("C++", "c++", ["-std=c++11", "-x", "c++"])]


def main():
    t = tap.Tap()
    headers = sorted((tap.ROOT / "include" / "perpend").glob("*.h"))
    t.ok(len(headers) >= 16, "the public headers are where they should be", headers)
    for language, compiler, options in LANGUAGES:
        if not shutil.which(compiler):
            t.skip(f"headers in {language}", f"no {compiler} here")
            continue
        for header in headers:
            with tempfile.NamedTemporaryFile("w", suffix=".c") as source:
                # twice: the guard must hold
                source.write(f"#include <perpend/{header.name}>\n" * 2 + "int main(void);\n")
                source.flush()
                done = subprocess.run(
                    [compiler, *options, *WARNINGS, "-fsyntax-only", "-I", tap.ROOT / "include",
                     source.name], capture_output=True, text=True, check=False)
                t.ok(done.returncode == 0, f"{header.name} alone in {language}", done.stderr)
    t.done()


main()
