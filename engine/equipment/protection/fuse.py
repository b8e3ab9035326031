"""A fuse with its link. The holder alone is `fuse_holder`."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment.base import ALL, Contact, Equipment, Protection, Role, Terminal
from engine.record import Fact
from engine.words import N_

__all__ = ["Fuse"]

FuseClass = Literal[
    "",
    "class T",
    "class J",
    "NH",
    "blade ISO 8820-3",
    "bolt-in ISO 8820-5",
    "terminal-stud",
    "strip",
    "glass cartridge",
    "other",
]


class Fuse(Equipment, frozen=True, kw_only=True):
    """Opens one conductor for good when the current through it is too high for too long."""

    KIND: ClassVar[str] = "fuse"
    NAME: ClassVar[str] = N_("Fuse")
    LETTERS: ClassVar[tuple[str, ...]] = ("F",)
    ROLE: ClassVar[Role] = "protection"

    rating_a: Annotated[float | None, Fact(N_("rated current of the link"), "A", low=0)] = None
    fuse_class: Annotated[FuseClass, Fact(N_("class or form, by its standard"))] = ""
    conductor: Annotated[
        Literal["+", "-", "L1", "L2", "L3", "N"], Fact(N_("conductor it stands in"))
    ] = "+"

    def terminals(self) -> tuple[Terminal, ...]:
        """Line side and load side; which is which does not matter to a fuse."""
        return (
            Terminal("in", ALL, "bottom", must=True, help=N_("line side")),
            Terminal("out", ALL, "top", must=True, help=N_("load side")),
        )

    def contacts(self) -> tuple[Contact, ...]:
        """One pole; every other conductor passes straight."""
        return (Contact("in", "out", (self.conductor,), protection=Protection(self.rating_a, "fuse")),)

    def summary(self) -> tuple[str, ...]:
        """Class and rating, breaking capacity."""
        first = " ".join(p for p in (self.fuse_class, "" if self.rating_a is None else f"{self.rating_a:g} A") if p)
        breaks = max((b.amps for b in self.breaking), default=None)
        return tuple(p for p in (first, "" if breaks is None else f"breaks {breaks / 1000:g} kA") if p)
