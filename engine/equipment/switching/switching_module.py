"""A switching module: channels switched by a network, each with an electronic trip.

A module has one switch a channel, while a piece of equipment has one set of positions: channels are taken as always
able to conduct, which is the worse case wherever closing is. Where opening is, every channel counts as able to open;
what a channel does when supply or network is lost is recorded with it.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment._facts import DcVolts, StandbyW
from engine.equipment._systems import System, figure, gaps, lines_of, negative
from engine.equipment.base import DC, Contact, Draw, Equipment, Protection, Role, Terminal
from engine.equipment.behaviour import Carries, Remote
from engine.record import Fact, Part
from engine.words import N_, _, ngettext

__all__ = ["Channel", "SwitchingModule"]

ChannelOnLoss = Literal["", "off", "on", "stays"]


class Channel(Part, frozen=True, kw_only=True):
    """One output: terminal `ch1` for number 1."""

    number: Annotated[int, Fact(N_("number of the channel"), low=1, high=999)]
    label: Annotated[str, Fact(N_("what it feeds"))] = ""
    rating_a: Annotated[float | None, Fact(N_("current at which it trips"), "A", low=0, above=0)] = None
    fuse_a: Annotated[float | None, Fact(N_("fuse of its own on the module"), "A", low=0, above=0)] = None
    override: Annotated[bool | None, Fact(N_("can be switched by hand at the module: yes, no or not known"))] = None
    on_network_loss: Annotated[ChannelOnLoss, Fact(N_("what it does when the network is lost"))] = ""
    on_supply_return: Annotated[ChannelOnLoss, Fact(N_("what it does when the supply comes back"))] = ""


class SwitchingModule(Equipment, frozen=True, kw_only=True):
    """`through_a` is what all channels together may carry."""

    KIND: ClassVar[str] = "switching_module"
    NAME: ClassVar[str] = N_("Switching module")
    LETTERS: ClassVar[tuple[str, ...]] = ("A", "K", "Q")
    ROLE: ClassVar[Role] = "switch"
    OFF_TO_TEST_INSULATION: ClassVar[bool] = True
    TERMINALS_VARY: ClassVar[bool] = True
    AUTOMATIC: ClassVar[bool] = True

    channels: Annotated[tuple[Channel, ...], Fact(N_("its channels"))] = ()
    dc_v: DcVolts = None
    local_control: Annotated[
        bool | None, Fact(N_("keeps working its own channels without the network: yes, no or not known"))
    ] = None
    network: Annotated[str, Fact(N_("network it is commanded by"))] = ""
    standby_w: StandbyW = None

    def terminals(self) -> tuple[Terminal, ...]:
        """Supply, negative, and one terminal a channel."""
        numbers = sorted({c.number for c in self.channels})
        return (
            Terminal("supply", DC, "bottom", must=True, help=N_("supply")),
            *(Terminal(f"ch{n}", DC, "top", help=N_("channel")) for n in numbers),
            Terminal("neg", ("-",), "bottom", help=N_("negative drawn apart")),
        )

    def remotes(self) -> tuple[Remote, ...]:
        """Each channel."""
        does = {"off": "opens", "on": "closes", "stays": "stays"}
        return tuple(
            Remote(
                on_loss=does.get(channel.on_network_loss, ""),
                override=channel.override,
                field=f"channels[{place}].on_network_loss",
                override_field=f"channels[{place}].override",
                terminal=f"ch{channel.number}",
                network=self.network,
                local=self.local_control,
            )
            for place, channel in enumerate(self.channels)
        )

    def contacts(self) -> tuple[Contact, ...]:
        """Supply to each channel through its electronic trip, a fuse where that is smaller; negatives are common."""
        made = [negative("supply")]
        for place, channel in enumerate(self.channels):
            trip = Protection(channel.rating_a, "electronic", f"channels[{place}].rating_a")
            if channel.fuse_a is not None and (channel.rating_a is None or channel.fuse_a < channel.rating_a):
                trip = Protection(channel.fuse_a, "fuse", f"channels[{place}].fuse_a")
            made.append(Contact("supply", f"ch{channel.number}", ("+",), protection=trip))
        return tuple(made)

    def draws(self) -> tuple[Draw, ...]:
        """Its own consumption."""
        return (Draw("supply", "dc", "power", self.standby_w, DC, missing=gaps(self, "standby_w")),)

    def nominal_volts(self, terminal: str) -> System:
        """The system it is made for."""
        return "dc", self.dc_v

    def carries(self) -> Carries:
        """Its ratings."""
        return Carries(continuous_a=self.through_a)

    def summary(self) -> tuple[str, ...]:
        """How many channels; what they carry together."""
        count = len(self.channels)
        return lines_of(
            ngettext("{count} channel", "{count} channels", count).format(count=count) if count else "",
            "" if self.through_a is None else _("{amps} together").format(amps=figure(self.through_a, "A")),
        )
