"""What a kind of equipment is: a record and its behaviour. Rules ask these questions, never "is it a fuse?".

Conductors have fixed names: DC ``+ -``, AC ``L1 L2 L3 N``, protective earth and bonding ``PE``, signal ``S``. A
terminal names the conductors it can carry; which exist is decided by the runs that arrive (`engine.circuit.expand`).

Behaviour is told in four small values:

* `Contact`: two terminals that conduct to each other, in which positions, through which protective device;
* `Source`: a terminal conductor that energy comes out of, how much, whether it limits itself;
* `Conversion`: energy taken in at one terminal comes out at another as a source;
* `Draw`: what is taken out of the circuit.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal, NamedTuple

from engine.equipment.behaviour import (
    Array,
    ArrayInput,
    Ashore,
    Carries,
    Charging,
    Converter,
    Governs,
    Harvest,
    Machine,
    Remote,
    Residual,
    Store,
    Touchable,
    Trip,
    Use,
)
from engine.equipment.parting import Parting
from engine.record import Fact, Part, Record
from engine.words import N_

__all__ = [
    "AC",
    "ALL",
    "CLOSED",
    "DC",
    "LIVE",
    "OPEN_CLOSED",
    "STATUSES",
    "Breaking",
    "Contact",
    "Conversion",
    "Draw",
    "Duty",
    "Equipment",
    "Phases",
    "Protection",
    "Role",
    "Source",
    "Status",
    "Terminal",
    "phase_names",
]

DC = ("+", "-")
AC = ("L1", "L2", "L3", "N", "PE")
ALL = ("+", "-", "L1", "L2", "L3", "N", "PE")
LIVE = ("+", "L1", "L2", "L3")  # ungrounded conductors

Status = Literal["existing", "new", "to remove", "by others", "spare"]
STATUSES: tuple[Status, ...] = ("existing", "new", "to remove", "by others", "spare")
Phases = Literal["L1", "L2", "L3", "L1 L2", "L1 L2 L3"]
Role = Literal["source", "converter", "protection", "switch", "bus", "junction", "load", "earth", "meter", "control"]
OPEN_CLOSED = ("open", "closed")
CLOSED = frozenset({"closed"})


def phase_names(phases: str) -> tuple[str, ...]:
    """`"L1 L2"` as `("L1", "L2")`."""
    return tuple(phases.split())


class Breaking(Part, frozen=True):
    """Breaking (interrupting) capacity: so many amperes at such a voltage."""

    amps: Annotated[float, Fact(N_("current it can break"), "A", low=0)]
    volts: Annotated[float, Fact(N_("at this voltage"), "V", low=0)]
    kind: Annotated[Literal["DC", "AC"], Fact(N_("direct or alternating"))] = "DC"


class Duty(Part, frozen=True):
    """How long a load runs in an operating condition."""

    condition: Annotated[str, Fact(N_("operating condition"), refers="conditions")]
    hours_a_day: Annotated[float, Fact(N_("hours a day"), "h", low=0, high=24)]


class Terminal(NamedTuple):
    """A place where a run arrives."""

    name: str
    conductors: tuple[str, ...]
    side: Literal["top", "bottom", "left", "right"] = "bottom"  # where it is usually drawn
    must: bool = False  # must be connected
    help: str = ""


class Protection(NamedTuple):
    """An overcurrent protective device between two terminals."""

    rating_a: float | None  # None: not recorded
    kind: Literal["fuse", "breaker", "electronic"] = "fuse"
    missing: str = "rating_a"  # the field to fill where the rating is unknown


class Contact(NamedTuple):
    """Terminals `a` and `b` conduct to each other.

    `poles` lists the conductors that the device joins *in `positions`*; `None` means every conductor present at both.
    A conductor present at both terminals and not among the poles passes straight through, always, when `straight`.
    `cross` joins two unlike conductors, `(of a, of b)` (a neutral-earth bond, a battery's common negative stud).
    """

    a: str
    b: str
    poles: tuple[str, ...] | None = None
    positions: frozenset[str] | None = None  # None: in every position
    protection: Protection | None = None
    straight: bool = True
    cross: tuple[str, str] | None = None
    one_way: bool = False  # conducts from `a` to `b` only (a diode)
    supposed: str = ""  # the field that would tell whether it is there at all; "": it is


class Source(NamedTuple):
    """Energy comes out of `terminal`, conductor `conductor` (against - or N).

    `limited`: the source by itself never gives more than `limit_a`; `True`, `False` or not known. `nominal_v` and
    `highest_v` are against the return; `None` where not known. Amperes are those of one: where the symbol stands for
    several (`quantity`), the circuit adds them up. An AC source is a class of its own: `line` names it within the
    equipment, and all conductors of one `line` belong to one source.
    """

    terminal: str
    conductor: str
    system: Literal["dc", "ac"]
    nominal_v: float | None = None
    highest_v: float | None = None
    limited: bool | None = False
    limit_a: float | None = None
    line: str = ""
    positions: frozenset[str] | None = None
    battery: bool = False  # a storage battery: its own distances apply
    rotating: bool = False  # an alternator or generator
    protection: Protection | None = None  # a device inside, before the terminal
    frequency_hz: float | None = None
    missing: tuple[str, ...] = ()  # fields that would settle what is not known
    in_step: bool = False  # follows whatever feeds its equipment, so that it may meet it
    adapts: bool = False  # its volts follow what it is joined to (a solar array): it has no system of its own
    supposed: str = ""  # the field that would tell whether it is a source at all; "": it is

    def is_ordinary_alternator(self) -> bool:
        """A DC machine, its rectifier apart or not, of which it is not recorded whether it limits itself."""
        return self.limited is None and self.rotating and (self.system == "dc" or self.line == "stator")


class Conversion(NamedTuple):
    """Energy in at `source`, out at `target`; `ratio`: output to input amperes where it is fixed (a transformer).

    `both_ways`: windings, so that voltage put on `target` stands at `source` too.
    """

    source: str
    target: str
    efficiency: float | None = None
    ratio: float | None = None
    positions: frozenset[str] | None = None
    both_ways: bool = False


class Draw(NamedTuple):
    """What a consumer takes at a terminal: constant power (W), current (A) or resistance (ohm)."""

    terminal: str
    system: Literal["dc", "ac"]
    kind: Literal["power", "current", "resistance"]
    value: float | None
    conductors: tuple[str, ...] = ()
    power_factor: float = 1.0
    missing: tuple[str, ...] = ()


class Equipment(Parting, Record, frozen=True, kw_only=True):
    """The facts every piece of equipment has. A kind is a subclass in a file of its own.

    A kind sets `KIND` (its name in files and lists), `NAME` (for people), `LETTERS` (IEC 81346-2 letters that suit it),
    `ROLE` (what it is on a sheet), and overrides the behaviour that differs.
    """

    KIND: ClassVar[str] = ""
    NAME: ClassVar[str] = ""
    LETTERS: ClassVar[tuple[str, ...]] = ()
    ROLE: ClassVar[Role] = "load"
    # positions a person or a controller can put it in; the first is the one with nothing joined, where there is one
    AUTOMATIC: ClassVar[bool] = False  # moved by a controller (`moves_itself`): every position must be safe
    WITH_ENGINE: ClassVar[bool] = False  # that it runs means that an engine does
    CLOSES_ON_NEED: ClassVar[bool] = False  # a float switch: closes by itself when what it feeds must run
    TERMINALS_VARY: ClassVar[bool] = False  # its terminals depend on its fields, not on its kind alone
    OFF_TO_TEST_INSULATION: ClassVar[bool] = False  # test volts would harm it or falsify the reading: common practice
    SPARKS: ClassVar[bool] = True  # can make a spark, in use or in failure (33 CFR 183.410)

    SEA_FIELD: ClassVar[str] = ""  # the field that tells whether it touches the sea
    GROUND_FIELD: ClassVar[str] = ""  # the field that tells whether it is the boat's ground

    designation: Annotated[str, Fact(N_("designation on the drawing, after IEC 81346-2"))] = ""
    label: Annotated[str, Fact(N_("what it is, in the owner's words"))] = ""
    place: Annotated[str, Fact(N_("where it stands"), refers="places")] = ""
    enclosure: Annotated[str, Fact(N_("panel or enclosure it is in"), refers="enclosures")] = ""
    position: Annotated[str, Fact(N_("position in the panel or enclosure"))] = ""
    status: Annotated[Status, Fact(N_("existing, new, to remove, by others, spare"))] = "existing"
    marking: Annotated[str, Fact(N_("marking aboard"))] = ""
    old_marking: Annotated[str, Fact(N_("marking aboard before the refit"))] = ""
    note: Annotated[str, Fact(N_("note"))] = ""
    maker: Annotated[str, Fact(N_("maker"))] = ""
    part_number: Annotated[str, Fact(N_("part number"))] = ""
    price: Annotated[float | None, Fact(N_("price each"), low=0)] = None
    quantity: Annotated[
        int, Fact(N_("how many this one symbol stands for, side by side: what they take or give adds up"), low=1)
    ] = 1
    largest_device_a: Annotated[
        float | None, Fact(N_("largest overcurrent protective device the maker allows"), "A", low=0)
    ] = None
    through_a: Annotated[float | None, Fact(N_("current that may pass through it"), "A", low=0)] = None
    breaking: Annotated[tuple[Breaking, ...], Fact(N_("breaking capacity: amperes at volts, DC or AC"))] = ()
    rated_dc_v: Annotated[float | None, Fact(N_("rated voltage, DC"), "V", low=0)] = None
    rated_ac_v: Annotated[float | None, Fact(N_("rated voltage, AC"), "V", low=0)] = None
    rated_bare_v: Annotated[
        float | None, Fact(N_("rated voltage where the plate does not say DC or AC"), "V", low=0)
    ] = None
    rated_at_c: Annotated[float | None, Fact(N_("temperature it is rated at"), "degC", low=-60, high=250)] = None
    covered: Annotated[bool | None, Fact(N_("live studs booted or covered: yes, no or not known"))] = None
    ignition_protected: Annotated[bool | None, Fact(N_("ignition protected: yes, no or not known"))] = None
    in_position: Annotated[str, Fact(N_("position as drawn"))] = ""
    used_as_switch: Annotated[bool, Fact(N_("a protective device that is also operated as a switch"))] = False

    # -- what it is made of -------------------------------------------------------------------------------------
    def terminals(self) -> tuple[Terminal, ...]:
        """Where runs can arrive."""
        return ()

    def positions(self) -> tuple[str, ...]:
        """The positions it can stand in, `()` for what cannot be moved."""
        return ()

    def drawn_position(self) -> str:
        """The position it stands in on the drawing: as recorded, else its normal one, else `""`."""
        every = self.positions()
        if self.in_position in every:
            return self.in_position
        return self.normal_position() if every else ""

    def normal_position(self) -> str:
        """The position when nobody says otherwise."""
        return self.positions()[-1] if self.positions() else ""

    def moves_itself(self) -> bool | None:
        """Whether a controller may put it in any of its positions at any time: yes, no or not known."""
        return self.AUTOMATIC

    def remotes(self) -> tuple[Remote, ...]:
        """What of it is switched from afar: one for the whole, or one a channel; nothing where a hand moves it."""
        return ()

    def breaks_load_now(self) -> bool | None:
        """Whether it may be opened while it carries current: yes, no or not known."""
        return getattr(self, "breaks_load", None)

    def moves(self) -> tuple[tuple[str, str], ...]:
        """Pairs of positions it passes between directly; every pair unless a kind says otherwise."""
        every = self.positions()
        return tuple((a, b) for a in every for b in every if a != b)

    def pieces(self) -> int:
        """How many articles are bought for this one symbol; 0 for what is no article."""
        return self.quantity

    def article(self) -> tuple[str, ...]:
        """Ratings an order names, of one article."""
        return self.summary()

    # -- how it behaves -----------------------------------------------------------------------------------------
    def contacts(self) -> tuple[Contact, ...]:
        """What conducts to what inside it."""
        return ()

    def sources(self, joined: frozenset[str]) -> tuple[Source, ...]:
        """What energy it can put out; `joined` are the terminals that have a run."""
        return ()

    def conversions(self) -> tuple[Conversion, ...]:
        """What it converts, in at one terminal and out at another."""
        return ()

    def draws(self) -> tuple[Draw, ...]:
        """What it takes out of the circuit."""
        return ()

    def nominal_volts(self, terminal: str) -> tuple[Literal["dc", "ac"], float | None] | None:
        """The system a terminal is made for, `None` where it does not mind."""
        return None

    def store(self) -> Store | None:
        """What it is as a battery bank, `None` for what stores nothing."""
        return None

    def machine(self) -> Machine | None:
        """What it is as a rotating source or a supply from ashore, `None` for anything else."""
        return None

    def governs(self) -> Governs | None:
        """What it manages as a battery management, `None` for anything else."""
        return None

    def harvest(self) -> Harvest | None:
        """What it brings from sun, wind or water, `None` for anything else."""
        return None

    def output_va(self) -> float | None:
        """What its AC output gives continuously, VA, all pieces together; `None` where not recorded or none."""
        return None

    def converter(self) -> Converter | None:
        """When it works and what it asks of its input, `None` for what converts nothing."""
        return None

    def use(self) -> Use | None:
        """How it is used, `None` for what is no consumer."""
        return None

    def carries(self) -> Carries | None:
        """What it may carry as a switch or a bus, `None` for anything else."""
        return None

    def trip(self) -> Trip | None:
        """How it opens by overcurrent, `None` for what does not."""
        return None

    def contact_ohm(self) -> float | None:
        """Recorded resistance of its current path, ohm; `None` where none is recorded."""
        return None

    def diode_v(self) -> float | None:
        """Recorded volts lost in its diodes; `None` where none are recorded."""
        return None

    # -- what safety asks ---------------------------------------------------------------------------------------
    def ashore(self) -> Ashore | None:
        """What it is as the shore's outlet or the boat's inlet, `None` for anything else."""
        return None

    def residual(self) -> Residual | None:
        """Its residual-current protection, `None` where it has none."""
        return None

    def touchable(self) -> Touchable | None:
        """What of it a person can touch, `None` where an earth is not asked for."""
        return None

    def unsaid_earth(self) -> str:
        """The field that would tell whether protective earth goes through it, where that is not recorded; else `""`."""
        return ""

    def unsaid_bond(self) -> str:
        """The field that would tell whether it bonds its neutral to earth, where that is not recorded; else `""`."""
        return ""

    def touches_sea(self) -> bool | None:
        """Whether its protective earth meets the sea: yes, no or not known."""
        return False

    def is_ground(self) -> bool | None:
        """Whether it is the boat's ground: negative and protective earth are one in it. Yes, no or not known."""
        return False

    def is_hull(self) -> bool:
        """Whether it is a point of a hull or keel that conducts."""
        return False

    def is_earth_bus(self) -> bool:
        """Whether protective conductors are gathered on it."""
        return False

    def blocks_corrosion(self) -> bool:
        """Whether it keeps the small direct current of corrosion from passing."""
        return False

    def fails_open(self) -> bool | None:
        """Whether what it joins may be open when it has failed: yes, no or not known."""
        return False

    def shows_polarity(self) -> bool:
        """Whether it tells that live and neutral are exchanged."""
        return False

    def balances(self) -> str:
        """Id of the bank whose midpoint it keeps, `""` for anything else."""
        return ""

    def engine_mounted(self) -> str:
        """Id of the engine it stands on and returns through, `""` for anything else."""
        return ""

    def terminals_on(self, terminal: str) -> tuple[int | None, str]:
        """How many terminals its maker allows on a stud there, and the field that would tell; `""`: no stud there."""
        return None, ""

    def stud_count(self) -> int | None:
        """How many studs it has, `None` where not recorded or none."""
        return None

    def charging(self) -> Charging | None:
        """What it is set to as a charging source, `None` for anything else."""
        return None

    def regulates(self) -> tuple[str, ...]:
        """Ids of the charging sources whose volts it sets."""
        return ()

    def array(self) -> Array | None:
        """What it is as a solar array, `None` for anything else."""
        return None

    def array_input(self) -> ArrayInput | None:
        """What a solar array may bring to it, `None` for anything else."""
        return None

    def assumed(self) -> tuple[str, ...]:
        """What its behaviour takes for granted where the record is silent, in phrases for people."""
        return ()

    def missing_for_current(self) -> tuple[str, ...]:
        """Fields without which `through_limit` is unknown; `()` where it is known or no such limit exists."""
        return ()

    def through_limit(self, terminal: str) -> float | None:
        """The through-current rating that what feeds `terminal` must not exceed (A), `None` if it has none."""
        return self.through_a

    def summary(self) -> tuple[str, ...]:
        """Two or three short lines of ratings printed beside the symbol, in the drawing's plain wording."""
        return ()
