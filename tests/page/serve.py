#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""serve.py PERPEND PERPEND.html FOLDER: 'perpend page' writes the page out as it is, and hands it out by
HTTP, it alone. Slow, hostile and vanished clients hold nobody up, and Ctrl-C ends it."""
import http.client
import pathlib
import random
import signal
import socket
import subprocess
import sys
import time

PERPEND, PAGE, FOLDER = sys.argv[1], pathlib.Path(sys.argv[2]).read_bytes(), pathlib.Path(sys.argv[3])
PORT = 18757
FOLDER.mkdir(parents=True, exist_ok=True)
copy = FOLDER / "copy.html"
copy.unlink(missing_ok=True)


def perpend(*words):
    return subprocess.run([PERPEND, "page", *words], capture_output=True, text=True)


assert perpend(copy).returncode == 0 and copy.read_bytes() == PAGE
again = perpend(copy)
assert again.returncode == 2 and "--force" in again.stderr and copy.read_bytes() == PAGE
assert perpend("--force", copy).returncode == 0
for wrong in ([], ["a", "b"], ["--serve", "a"], ["--lan", "a"], ["--serve", "--port", "0"], ["--serve", "--port", "70000"]):
    assert perpend(*wrong).returncode == 2, wrong


def ask(method, path, body=None):
    connection = http.client.HTTPConnection("127.0.0.1", PORT, timeout=5)
    try:
        connection.request(method, path, body)
        reply = connection.getresponse()
        return reply.status, reply.read(), reply.headers
    finally:
        connection.close()


def quick():
    began = time.monotonic()
    status, body, _ = ask("GET", "/")
    assert status == 200 and body == PAGE
    return time.monotonic() - began


server = subprocess.Popen([PERPEND, "page", "--serve", "--port", str(PORT)], stdout=subprocess.PIPE, text=True)
try:
    assert server.stdout.readline() == f"http://127.0.0.1:{PORT}/\n"
    status, body, headers = ask("GET", "/perpend.html")
    assert status == 200 and body == PAGE and headers["Content-Type"] == "text/html; charset=utf-8"
    for method, path, wanted in [("GET", "/../etc/passwd", 404), ("GET", "/x", 404), ("GET", "/perpend.html/", 404),
                                 ("POST", "/", 405), ("PUT", "/x", 405), ("DELETE", "/", 405), ("OPTIONS", "/", 405)]:
        status, body, headers = ask(method, path, b"x" * 1000 if method in ("POST", "PUT") else None)
        assert status == wanted and len(body) < 100, (method, path, status)
    assert ask("HEAD", "/")[0] == 200
    other = perpend("--serve", "--port", str(PORT))
    assert other.returncode == 3 and "--port" in other.stderr, other
    # who says nothing, who says half, who takes nothing, who goes away, who says rubbish
    draw, held = random.Random(1), []
    for said in [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: a\r\n\r\n"] * 3:
        held.append(socket.create_connection(("127.0.0.1", PORT)))
        held[-1].sendall(said)
    for _ in range(40):
        with socket.create_connection(("127.0.0.1", PORT)) as gone:
            gone.settimeout(1)
            try:
                gone.sendall(draw.choice([b"GET / HTTP/1.1\r\nHost: a\r\n\r\n", draw.randbytes(300), b"GET " + b"/" * 20000 + b" HTTP/1.1\r\n\r\n",
                                          b"POST / HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n"]))
            except OSError:
                pass
    slowest = max(quick() for _ in range(10))
    assert slowest < 1, slowest
    # more of them than one may have: the rest is turned away, and served once they are gone
    crowd = []
    for _ in range(100):
        crowd.append(socket.create_connection(("127.0.0.1", PORT)))
    for one in held + crowd:
        one.close()
    time.sleep(0.3)
    quick()
    assert server.poll() is None
    server.send_signal(signal.SIGINT)
    assert server.wait(5) == 0
finally:
    server.kill()
print(f"the page is handed out within {slowest * 1000:.0f} ms beside who says nothing or too much")
