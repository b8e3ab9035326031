"""A process that has read everything a child needs and forks children on demand: a thousand programs in a minute.

As a script: `nursery.py CONTROL SCRIPT`, CONTROL an open socket. SCRIPT is read once; a child runs one of its functions
with a `Line` to whoever asked for it and what it is asked, and ends.
"""

from __future__ import annotations

import gc
import importlib.util
import json
import os
import socket
import sys
import traceback
from types import ModuleType
from typing import Any


class Line:
    """One end of a talk: whole messages, a line of JSON each."""

    def __init__(self, end: socket.socket) -> None:
        self._end = end
        self._file = end.makefile("rb")

    def tell(self, *message: Any) -> None:
        self._end.sendall(json.dumps(message).encode() + b"\n")

    def hear(self) -> list[Any]:
        """The next message; [] when the other end is gone."""
        try:
            line = self._file.readline()
        except ConnectionError:
            return []
        return list(json.loads(line)) if line.endswith(b"\n") else []

    def rest(self) -> list[list[Any]]:
        """All messages until the other end is gone."""
        every = []
        while message := self.hear():
            every.append(message)
        return every

    def close(self) -> None:
        self._file.close()
        self._end.close()


def script(path: str) -> ModuleType:
    """A script as a module."""
    spec = importlib.util.spec_from_file_location("script", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["script"] = module
    spec.loader.exec_module(module)
    return module


def main(control: int, path: str) -> None:
    """Fork what is asked for until nobody asks any more."""
    module = script(path)
    gc.freeze()  # what is read by now is shared with every child and never walked again
    with socket.socket(fileno=control) as asked:
        asked.sendall(b"ready")
        while True:
            data, handles, _flags, _from = socket.recv_fds(asked, 2**16, 1)
            if not data:
                return
            wanted = json.loads(data)
            if "wait" in wanted:
                _pid, status = os.waitpid(wanted["wait"], 0)
                asked.sendall(json.dumps(os.waitstatus_to_exitcode(status)).encode())
                continue
            os.set_inheritable(handles[0], False)
            child = os.fork()
            if child == 0:
                asked.close()
                _live(module, wanted, handles[0])
            os.close(handles[0])
            asked.sendall(json.dumps(child).encode())


def _live(module: ModuleType, wanted: dict[str, Any], handle: int) -> None:
    code = 1
    try:
        getattr(module, wanted["run"])(Line(socket.socket(fileno=handle)), wanted["with"])
        code = 0
    except BaseException:
        traceback.print_exc()
    sys.stdout.flush()
    sys.stderr.flush()
    os._exit(code)


if __name__ == "__main__":
    main(int(sys.argv[1]), sys.argv[2])
