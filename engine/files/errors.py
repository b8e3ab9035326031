"""What is said when a file cannot be read or written."""

from __future__ import annotations

import errno

from engine.record import FieldFault
from engine.units import number
from engine.words import _, ngettext

__all__ = ["MOST_TOLD", "FileError", "quoted", "reason"]

MOST_TOLD = 200  # faults that a message shows; `faults` holds all
LONGEST_TOLD = 300  # letters of a path, and of what is said of it


class FileError(ValueError):
    """A file that cannot be used; the message is for the person and names the file.

    `faults` lists every value that was refused, each with its path in the file.
    """

    def __init__(self, path: str, why: str = "", faults: tuple[FieldFault, ...] = ()) -> None:
        self.path = path
        self.faults = faults
        if faults and not why:
            count = len(faults)
            why = ngettext("{count} fault", "{count} faults", count).format(count=count)
        lines = [f"{path}: {why}", *(f"  {quoted(f.path)}: {quoted(f.why)}" for f in faults[:MOST_TOLD])]
        if len(faults) > MOST_TOLD:
            more = len(faults) - MOST_TOLD
            lines.append("  " + ngettext("and {count} more", "and {count} more", more).format(count=number(more)))
        super().__init__("\n".join(lines))


def quoted(text: str) -> str:
    """A text of a file as a message shows it: not endless, no letter that is none or turns what follows about."""
    if len(text) > LONGEST_TOLD:
        text = text[: LONGEST_TOLD - 1] + "…"
    return text if text.isprintable() else "".join(c if c.isprintable() else ascii(c)[1:-1] for c in text)


def reason(fault: OSError) -> str:
    """Why the system refused, as one phrase."""
    if isinstance(fault, FileNotFoundError):
        return _("there is no such file or folder")
    if isinstance(fault, PermissionError):
        return _("not allowed by the system")
    if isinstance(fault, IsADirectoryError):
        return _("it is a folder, not a file")
    if isinstance(fault, NotADirectoryError):
        return _("a part of the path is no folder")
    if fault.errno in (errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)):
        return _("the disk is full")
    if fault.errno == errno.ENAMETOOLONG:
        return _("its name is too long")
    if fault.errno == errno.ENXIO:
        return _("nobody reads from it")
    return fault.strerror or str(fault)
