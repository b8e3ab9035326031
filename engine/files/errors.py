"""What is said when a file cannot be read or written."""

from __future__ import annotations

from engine.record import FieldFault
from engine.words import _, ngettext

__all__ = ["FileError", "reason"]


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
        lines = [f"{path}: {why}", *(f"  {f.path}: {f.why}" for f in faults)]
        super().__init__("\n".join(lines))


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
    return fault.strerror or str(fault)
