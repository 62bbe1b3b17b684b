# shellcheck shell=sh disable=SC2034
# SPDX-License-Identifier: GPL-3.0-or-later
# Shared by the scripts of this folder: what they install, how they build and count.

# What it takes to build perpend and run it.
build_packages='gcc libc6-dev meson ninja-build pkg-config libgsl-dev libyaml-dev
    libsqlite3-dev libcairo2-dev libpango1.0-dev libglib2.0-dev libutf8proc-dev
    libreadline-dev scdoc fonts-dejavu-core'

# What its tests want beside that: the unit test library, independent mathematics, a terminal to
# type into, readers for the documents it writes, and fonts of other scripts.
test_packages='libcmocka-dev libjansson-dev g++ git python3 python3-numpy python3-scipy python3-jsonschema
    r-base-core tmux sqlite3 poppler-utils tidy chromium fonts-noto-core fonts-noto-cjk locales
    man-db groff-base chromium-driver python3-selenium libmicrohttpd-dev libqrencode-dev'

# What the deeper checks want beside those.
check_packages='clang clang-tidy clang-format cppcheck gcovr libclang-rt-14-dev valgrind shellcheck'

# What it takes to build the page.
page_packages='clang lld llvm wasi-libc libclang-rt-14-dev-wasm32 dpkg-dev make nodejs'

as_root() {
    if [ "$(id -u)" -eq 0 ]; then "$@"; else sudo "$@"; fi
}

# Install those of the named Debian packages that are not there, saying which.
need() {
    missing=
    for package in "$@"; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' ||
            missing="$missing $package"
    done
    [ -z "$missing" ] && return 0
    echo "Installing from Debian:$missing"
    as_root apt-get update -qq
    # shellcheck disable=SC2086
    as_root env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends $missing >/dev/null
}

# Configure (once) and build: build_in FOLDER [meson options].
build_in() {
    folder=$1
    shift
    if [ -f "$folder/build.ninja" ]; then
        meson configure "$folder" "$@"
    else
        meson setup "$folder" "$@" >"$folder.log" 2>&1 || {
            cat "$folder.log"
            return 1
        }
    fi
    ninja -C "$folder" --quiet
}

# clang's build under the address and undefined-behaviour sanitizers, ready to be fuzzed.
build_sanitized() {
    CC=clang build_in build/sanitize -Dwerror=true -Doptimization=1 -Db_sanitize=address,undefined \
        -Db_lundef=false \
        -Dc_args='-fsanitize=fuzzer-no-link -fno-sanitize-recover=undefined -fno-omit-frame-pointer'
}

# The fewest of a law's random cases, where each takes several times as long: slow_tests FOLDER [options].
slow_tests() {
    PERPEND_TEST_PERCENT=1 meson test --print-errorlogs --no-rebuild --num-processes $(($(nproc) * 2)) -C "$@"
}

# Add the single checks of the last run of the tests in a build folder to $passed, $failed, $skipped.
count_in() {
    [ -f "$1/meson-logs/testlog.json" ] || return 0 # it did not build
    summary="$(.ci/count "$1" || true), 0 skipped"
    passed=$((passed + ${summary%% passed*}))
    summary=${summary#* passed, }
    failed=$((failed + ${summary%% failed*}))
    summary=${summary#* failed, }
    skipped=$((skipped + ${summary%% skipped*}))
}
