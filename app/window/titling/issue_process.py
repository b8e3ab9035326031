"""What takes long of issues, in a process of its own: what has changed since one, and whether their copies are whole.

`python -P -m app.window.titling.issue_process` reads one JSON object: `{"older": FILE, "newer": FILE}` or
`{"copies": [[FILE, CHECKSUM], ...]}`; it writes one: `words`, or `whole` (a list), or `fault`.
"""

from __future__ import annotations

import hashlib
import json
import sys
from pathlib import Path
from typing import Any

__all__ = ["main"]


def main() -> int:
    """Read, do, tell."""
    asked = json.loads(sys.stdin.buffer.read())
    print(json.dumps(_told(asked)))
    return 0


def _told(asked: dict[str, Any]) -> dict[str, Any]:
    if "copies" in asked:
        return {"whole": [_is_whole(path, sha256) for path, sha256 in asked["copies"]]}
    from app.drawing.whole.changed_words import changed_words
    from engine.files.drawing import FileError, load

    try:
        older, newer = (load(asked[which]).installation.snapshot() for which in ("older", "newer"))
    except FileError as fault:
        return {"fault": str(fault)}
    return {"words": changed_words(older, newer)}


def _is_whole(path: str, sha256: str) -> bool:
    try:
        return hashlib.sha256(Path(path).read_bytes()).hexdigest() == sha256
    except OSError:
        return False


if __name__ == "__main__":
    from app import words

    words.load()
    sys.exit(main())
