"""Starts `undertray demo` and asks for the first page at once; prints the milliseconds of the fastest and the
middle of several starts, and beside them what starting the same program to print its help takes.

    start_pages.py PROGRAM [TIMES]
"""

import os
import signal
import socket
import statistics
import subprocess
import sys
import time


def free_port():
    with socket.socket() as s:
        s.bind(("127.0.0.1", 0))
        return s.getsockname()[1]


def first_answer(program):
    port = free_port()
    began = time.monotonic()
    p = subprocess.Popen([program, "demo", "--listen", f"127.0.0.1:{port}"], stdout=subprocess.DEVNULL)
    while True:
        try:
            s = socket.create_connection(("127.0.0.1", port))
            break
        except OSError:
            time.sleep(0.001)
    s.sendall(b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")
    head = s.recv(65536)
    while s.recv(65536):
        pass
    took = time.monotonic() - began
    p.send_signal(signal.SIGTERM)
    p.wait()
    if b" 200 " not in head.split(b"\r\n")[0]:
        sys.exit(f"no page came: {head[:80]!r}")
    return took


def bare(program):
    began = time.monotonic()
    subprocess.run([program, "--help"], stdout=subprocess.DEVNULL, check=True)
    return time.monotonic() - began


def main():
    program = os.path.abspath(sys.argv[1])
    times = int(sys.argv[2]) if len(sys.argv) > 2 else 15
    first = sorted(first_answer(program) for _ in range(times))
    alone = sorted(bare(program) for _ in range(times))
    print(f"first answer of the demo: {1000 * first[0]:.0f} ms at best, {1000 * statistics.median(first):.0f} ms in the middle (aim: 150 ms)")
    print(f"starting to print help:   {1000 * alone[0]:.0f} ms at best, {1000 * statistics.median(alone):.0f} ms in the middle")


main()
