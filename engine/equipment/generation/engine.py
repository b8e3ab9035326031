"""An engine, as far as electricity minds: whether its block is the earth return."""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._systems import lines_of
from engine.equipment.base import Contact, Equipment, Role, Terminal
from engine.record import Fact
from engine.words import N_, _

__all__ = ["Engine"]


class Engine(Equipment, frozen=True, kw_only=True):
    """Its block joins the DC negative to the boat's bonding, or is isolated from it. Its starter is a `motor`."""

    KIND: ClassVar[str] = "engine"
    NAME: ClassVar[str] = N_("Engine")
    LETTERS: ClassVar[tuple[str, ...]] = ("M",)
    ROLE: ClassVar[Role] = "earth"
    WITH_ENGINE: ClassVar[bool] = True
    SEA_FIELD: ClassVar[str] = "purpose"
    GROUND_FIELD: ClassVar[str] = "return_path"
    SPARKS: ClassVar[bool] = False  # its starter and alternator are equipment of their own

    purpose: Annotated[Literal["", "propulsion", "generator", "pump", "other"], Fact(N_("what it drives"))] = ""
    fuel: Annotated[Literal["", "petrol", "diesel", "gas"], Fact(N_("fuel"))] = ""
    return_path: Annotated[
        Literal["", "block", "isolated"], Fact(N_("return of its electrics: through the block, or isolated from it"))
    ] = ""
    stop_control: Annotated[
        Literal["", "energised to run", "energised to stop", "mechanical"], Fact(N_("how it is stopped"))
    ] = ""
    idle_rpm: Annotated[float | None, Fact(N_("idling speed"), "rpm", low=0)] = None
    cruise_rpm: Annotated[float | None, Fact(N_("cruising speed"), "rpm", low=0)] = None

    def terminals(self) -> tuple[Terminal, ...]:
        """The negative stud on the block."""
        return (Terminal("block", ("-", "PE"), "bottom", help=N_("negative stud on the block")),)

    def contacts(self) -> tuple[Contact, ...]:
        """An earthed block joins negative and bonding."""
        if self.return_path != "block":
            return ()
        return (Contact("block", "block", cross=("-", "PE"), straight=False),)

    def touches_sea(self) -> bool | None:
        """A propulsion engine does, through its shaft; of another it is not known."""
        return True if self.purpose == "propulsion" else None

    def is_ground(self) -> bool | None:
        """Where its electrics return through the block."""
        return self.return_path == "block" if self.return_path else None

    def summary(self) -> tuple[str, ...]:
        """How its electrics return."""
        return lines_of({"block": _("block return"), "isolated": _("isolated return")}.get(self.return_path, ""))
