"""Read by every Python that starts with this folder on its path: whatever would reach out of the machine ends it.

An audit hook (PEP 578) cannot be taken away again, and hears the calls of C code too. What it hears is written to the
file that `GUARD_TOLD` names, so that a process that swallows the fault is found out all the same.
"""

from __future__ import annotations

import os
import sys

FORBIDDEN = (
    "socket.connect",
    "socket.bind",
    "socket.getaddrinfo",
    "socket.gethostbyname",
    "socket.sendto",
    "urllib.Request",
    "http.client.connect",
    "ftplib.connect",
    "smtplib.connect",
    "webbrowser.open",
    "os.system",
    "os.startfile",
    "pty.spawn",
)


def _told(line: str) -> None:
    where = os.environ.get("GUARD_TOLD")
    if where:
        with open(where, "a", encoding="utf-8") as out:
            out.write(line + "\n")


def _hear(event: str, arguments: tuple[object, ...]) -> None:
    if event in FORBIDDEN:
        _told(f"{event} {arguments!r}")
        raise RuntimeError(f"forbidden: {event}")
    if event in ("subprocess.Popen", "os.exec", "os.posix_spawn", "os.spawn"):
        program = os.path.realpath(str(arguments[0]))
        if program != os.path.realpath(sys.executable):
            _told(f"{event} {arguments[:2]!r}")
            raise RuntimeError(f"forbidden: {event} {program}")


sys.addaudithook(_hear)
_told("here")
