"""The edits a person makes on a sheet: place, connect, move, turn, lead a run, sheets, paste. Headless.

Every function takes a snapshot and returns an edit, with words for the undo list; `EditError` says in a sentence why
something cannot be done. Where ids are made, `last_id` is the number of the last one made on the drawing.
"""

from __future__ import annotations

from app.drawing.changes.connecting import connect
from app.drawing.changes.fitting import drawn
from app.drawing.changes.inserting import insert, parted_known
from app.drawing.changes.labelling import labels_back, put_label
from app.drawing.changes.leading import lead, lead_anew
from app.drawing.changes.made import Grip, Made
from app.drawing.changes.moving import mirror, move, stretch, turn
from app.drawing.changes.onward import place_joined
from app.drawing.changes.pasting import paste
from app.drawing.changes.placing import place, place_existing
from app.drawing.changes.reconnecting import reconnect
from app.drawing.changes.remarking import move_things
from app.drawing.changes.scenes import scene_of
from app.drawing.changes.sheeting import add_sheet, remove_sheet, to_sheet
from app.drawing.changes.taking import remove_drawn
from app.drawing.changes.templating import draw_template

__all__ = [
    "Grip",
    "Made",
    "add_sheet",
    "connect",
    "draw_template",
    "drawn",
    "insert",
    "labels_back",
    "lead",
    "lead_anew",
    "mirror",
    "move",
    "move_things",
    "parted_known",
    "paste",
    "place",
    "place_existing",
    "place_joined",
    "put_label",
    "reconnect",
    "remove_drawn",
    "remove_sheet",
    "scene_of",
    "stretch",
    "to_sheet",
    "turn",
]
