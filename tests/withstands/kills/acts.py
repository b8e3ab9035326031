"""Acts that write more than one file, each killed at a call of the system by the test. Forked by `nursery.py`."""

from __future__ import annotations

import importlib.util
import io
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any

from PIL import Image

from app import cli
from app.photographs import Taken, recorded, store_of
from engine.edits import History
from engine.edits.draft import Draft
from engine.files.drawing import load
from engine.files.journal import Journal
from engine.installation import Photograph

_spec = importlib.util.spec_from_file_location("hand", Path(__file__).with_name("hand.py"))
assert _spec is not None
assert _spec.loader is not None
hand = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(hand)


def command(line: Any, asked: dict[str, Any]) -> None:
    """A command line; tells its exit code where it gets so far."""
    if asked["die_at"]:
        hand._die_at(asked["die_at"], asked["die_how"])
    said = io.StringIO()
    with redirect_stdout(io.StringIO()), redirect_stderr(said):
        code = cli.main(asked["arguments"])
    line.tell(code, said.getvalue())


def photographs(line: Any, asked: dict[str, Any]) -> None:
    """Photographs kept beside a drawing and recorded in it one by one, as the window does once they are read."""
    path = Path(asked["file"])
    opened = load(path)
    x = opened.installation
    journal = Journal.begin(Path(asked["folder"]), x, x.last_id, path, opened.sha256)
    history, store = History(x), store_of(path)
    taken = [picture(number) for number in range(4)]
    hand._die_at(asked["die_at"], asked["die_how"])
    for one in taken:
        store.put(one)
        draft = Draft(x.snapshot(), x.last_id)
        recorded(draft, one)
        journal.record(history.do(draft.done("A photograph")), x.snapshot, x.last_id)
        line.tell(len(x.ids("photographs")))


def picture(number: int) -> Taken:
    """A photograph as the reader gives it."""
    import hashlib

    out = io.BytesIO()
    Image.new("RGB", (64, 48), (40 * number, 90, 120)).save(out, "JPEG")
    sha256 = hashlib.sha256(out.getvalue()).hexdigest()
    return Taken(Photograph(sha256=sha256, name=f"IMG_{number}.jpg", width=64, height=48), out.getvalue())
