# SPDX-License-Identifier: GPL-3.0-or-later
"""A small file system of a test's own, to be filled up or made read-only: a tmpfs in a mount namespace,
as root or in a user namespace. A test begins with

    import small_disk
    t = small_disk.begin("what cannot be tested where no mounts are allowed")
    disk = small_disk.Disk(folder)

and runs again from its first line, inside the namespace."""
import os
import subprocess
import sys

import tap

MARK = "PERPEND_TEST_OWN_MOUNTS"


def enter():
    """Run again inside a namespace with mounts of its own; False where none can be had."""
    if MARK in os.environ:
        return True
    for how in (["unshare", "--mount"], ["unshare", "--user", "--map-root-user", "--mount"]):
        probe = subprocess.run([*how, "mount", "-t", "tmpfs", "none", "/mnt"], check=False,
                               capture_output=True)
        if probe.returncode == 0:
            os.execvpe(how[0], [*how, sys.executable, *sys.argv], dict(os.environ, **{MARK: "1"}))
    return False


def begin(name):
    """A Tap inside such a namespace; the whole test is skipped where none can be had."""
    allowed = enter()
    t = tap.Tap()
    if allowed:
        return t
    t.skip(name, "no mounts are allowed here")
    return t.done()


class Disk:
    """A place to mount it, FOLDER/disk."""

    def __init__(self, folder):
        self.path = os.path.join(folder, "disk")
        self.filler = os.path.join(self.path, "filler")
        os.mkdir(self.path)

    def mount(self, size="2m"):
        subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size},mode=0755", "none", self.path],
                       check=True)

    def remount(self, how):
        """"ro" or "rw"."""
        subprocess.run(["mount", "-o", f"remount,{how}", self.path], check=True)

    def unmount(self):
        subprocess.run(["umount", "--lazy", self.path], check=True)

    def leave(self, space):
        """Fill the disk up but for so many bytes; the filler can be removed again."""
        status = os.statvfs(self.path)
        with open(self.filler, "wb") as out:
            out.write(b"\0" * max(status.f_bavail * status.f_frsize - space, 0))
