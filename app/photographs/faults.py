"""What is said of a photograph that cannot be taken, kept or read again."""

from __future__ import annotations

from engine.units import number
from engine.words import N_, _

__all__ = ["FAULTS", "PATIENCE_S", "PhotographFault", "sentence"]

PATIENCE_S = 60  # for one photograph to be read, whoever waits for it


class PhotographFault(ValueError):
    """What cannot be done with a photograph, as one sentence for the person."""


FAULTS = {  # what `reader.py` may say, as a sentence about {name}
    "missing": N_("{name} is not there, or may not be read."),
    "folder": N_("{name} is a folder; the photographs in it can be taken."),
    "no file": N_("{name} is no file that can be read to its end."),
    "empty": N_("{name} is empty: nothing of the photograph was copied."),
    "unreadable": N_("{name} is no photograph that can be read: JPEG, PNG, WebP, TIFF, BMP and GIF can."),
    "PDF": N_("{name} is a PDF and no photograph; its pages can be laid under a sheet."),
    "text": N_("{name} is text and no photograph, whatever its name says."),
    "HEIC": N_(
        "{name} is a HEIC photograph, which cannot be read here: save it as JPEG where it was taken, and take that."
    ),
    "cut short": N_("{name} is cut short: not all of it was copied. Copy it again."),
    "large": N_("{name} has {width} × {height} dots, more than are read; take a copy of it with fewer."),
    "heavy": N_("{name} is larger than any photograph that is read; take a smaller copy of it."),
    "memory": N_("{name} asks for more memory than a photograph may; take a copy of it with fewer dots."),
    "moving": N_("{name} is a moving picture; save the one picture of it that is meant, and take that."),
    "pages": N_("{name} holds {pages} pages; save the one that is meant as a picture of its own, and take that."),
    "disk": N_("{name} cannot be kept in {folder}: {why}."),
    "slow": N_("{name} takes longer than {seconds} s to read; it was given up."),
    "ended": N_("{name} could not be read: reading it ended before its time."),
}


def sentence(fault: str, name: str, **values: object) -> str:
    """One of `FAULTS` about a file; what stands in it are numbers and words as the process told them."""
    told = {key: number(value) if isinstance(value, int | float) else value for key, value in values.items()}
    empty = dict.fromkeys(("width", "height", "pages", "folder", "why", "seconds"), "?")
    return _(FAULTS.get(fault, FAULTS["ended"])).format(**empty | told | {"name": name})
