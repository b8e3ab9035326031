"""The wording of facts that several kinds have, each written once: its type, unit, range and help.

AC volts are line to neutral unless the help says otherwise; `L1 L2` are the two legs of a split-phase supply.
A share or a factor is a plain number, 0 to 1 where that is its range; 92 % is 0.92.
"""

from __future__ import annotations

from typing import Annotated, Literal

from engine.equipment.base import Duty, Phases
from engine.record import Fact, Part
from engine.words import N_

Pole = Literal["+", "-", "L1", "L2", "L3", "N", "PE"]
Line = Literal["L1", "L2", "L3"]


class TimePoint(Part, frozen=True, kw_only=True):
    """A point of a time-current band, from the maker's sheet."""

    multiple: Annotated[float, Fact(N_("current as a multiple of the rating"), low=0)]
    fastest_s: Annotated[float | None, Fact(N_("opens no sooner than"), "s", low=0)] = None
    slowest_s: Annotated[float | None, Fact(N_("opens no later than"), "s", low=0)] = None


class Yield(Part, frozen=True, kw_only=True):
    """Energy a weather-driven source brings in an operating condition."""

    condition: Annotated[str, Fact(N_("operating condition"), refers="conditions")]
    wh_a_day: Annotated[float, Fact(N_("energy a day"), "Wh", low=0)]


# -- voltages and currents ------------------------------------------------------------------------------------------
DcVolts = Annotated[float | None, Fact(N_("nominal DC voltage"), "V", low=0)]
AcVolts = Annotated[float | None, Fact(N_("AC voltage, line to neutral"), "V", low=0)]
PlateVolts = Annotated[
    float | None,
    Fact(N_("AC voltage on its plate: between lines where it takes several, else line to neutral"), "V", low=0),
]
LivePhases = Annotated[Phases, Fact(N_("live conductors"))]
Frequency = Annotated[float | None, Fact(N_("frequency"), "Hz", low=0)]
PowerFactor = Annotated[float | None, Fact(N_("power factor"), low=0, high=1)]
RatingA = Annotated[float | None, Fact(N_("rated current"), "A", low=0, above=0)]
FaultA = Annotated[float | None, Fact(N_("prospective fault current there"), "A", low=0)]
Efficiency = Annotated[float | None, Fact(N_("efficiency, as a share"), low=0, high=1)]
StandbyW = Annotated[float | None, Fact(N_("own consumption when on"), "W", low=0)]
InternalDeviceA = Annotated[
    float | None,
    Fact(
        N_("rating of the protective device inside, before its output terminal; empty where there is none"),
        "A",
        low=0,
        above=0,
    ),
]

# -- charging -------------------------------------------------------------------------------------------------------
SelfLimiting = Annotated[bool | None, Fact(N_("output limits itself to its rating: yes, no or not known"))]
ObeysStop = Annotated[bool | None, Fact(N_("stops charging when the battery says so: yes, no or not known"))]
NeedsBattery = Annotated[bool | None, Fact(N_("maker forbids running it without its battery: yes, no or not known"))]
ChargeA = Annotated[float | None, Fact(N_("charging current at the battery"), "A", low=0)]
ChargeVolts = Annotated[float | None, Fact(N_("highest charging voltage"), "V", low=0)]
FloatVolts = Annotated[float | None, Fact(N_("float voltage"), "V", low=0)]
EqualiseVolts = Annotated[float | None, Fact(N_("equalising voltage, where it equalises"), "V", low=0)]
Profile = Annotated[
    Literal["", "constant voltage", "two-stage", "three-stage", "lithium", "adjustable", "external"],
    Fact(N_("charging profile it is set to")),
]
TemperatureSensed = Annotated[
    bool | None, Fact(N_("charging voltage follows the battery's temperature: yes, no or not known"))
]
Yields = Annotated[tuple[Yield, ...], Fact(N_("energy a day in each condition"))]

# -- AC systems -----------------------------------------------------------------------------------------------------
ParallelWith = Annotated[tuple[str, ...], Fact(N_("sources it is built to run in parallel with"), refers="equipment")]
ExposedMetal = Annotated[bool | None, Fact(N_("has metal that can be touched: yes, no or not known"))]
PassesEarth = Annotated[
    bool | None, Fact(N_("protective earth goes through from input to output: yes, no or not known"))
]
Polarised = Annotated[bool | None, Fact(N_("live and neutral cannot be exchanged: yes, no or not known"))]
NeutralEarthed = Annotated[bool | None, Fact(N_("neutral is earthed ashore: yes, no or not known"))]
ResidualMa = Annotated[
    float | None,
    Fact(N_("residual current at which it opens; empty where it has no such protection"), "mA", low=0, high=3000),
]
ResidualMs = Annotated[float | None, Fact(N_("time in which it opens at that current"), "ms", low=0, high=10000)]
ResidualType = Annotated[
    Literal["", "AC", "A", "F", "B"], Fact(N_("type, by the residual currents it sees (IEC 60755)"))
]

# -- protective devices ---------------------------------------------------------------------------------------------
FuseClass = Annotated[
    Literal[
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
    ],
    Fact(N_("class or form, by its standard")),
]
Conductor = Annotated[
    Literal["", "+", "-", "L1", "L2", "L3", "N", "PE"],
    Fact(N_("conductor it stands in; none named: the live one")),
]
Poles = Annotated[tuple[Pole, ...], Fact(N_("conductors it opens; none named: the live ones"))]
TimePoints = Annotated[tuple[TimePoint, ...], Fact(N_("time-current band from the maker's sheet"))]
ContinuousPercent = Annotated[
    float | None, Fact(N_("part of its rating it carries continuously"), "%", low=10, high=150)
]
LetThrough = Annotated[float | None, Fact(N_("total clearing energy it lets through"), "A2s", low=0)]
BreaksOneWay = Annotated[bool | None, Fact(N_("breaks DC in one direction only: yes, no or not known"))]
LineTerminal = Annotated[Literal["", "in", "out"], Fact(N_("terminal that its maker marks for the supply"))]
Curve = Annotated[
    Literal["", "B", "C", "D", "K", "Z", "thermal", "magnetic", "hydraulic-magnetic", "electronic", "other"],
    Fact(N_("trip curve, or how it trips")),
]

# -- switches -------------------------------------------------------------------------------------------------------
ContinuousA = Annotated[float | None, Fact(N_("continuous rating"), "A", low=0)]
FiveMinuteA = Annotated[float | None, Fact(N_("five-minute rating"), "A", low=0)]
CrankingA = Annotated[float | None, Fact(N_("cranking rating"), "A", low=0)]
BreaksLoad = Annotated[bool | None, Fact(N_("may be opened under load: yes, no or not known"))]
MakesBeforeBreaks = Annotated[
    bool | None, Fact(N_("makes the next contact before it breaks the last: yes, no or not known"))
]
FieldContact = Annotated[
    bool | None, Fact(N_("an auxiliary contact opens the alternator's field first: yes, no or not known"))
]
OnLoss = Annotated[Literal["", "opens", "closes", "stays"], Fact(N_("what it does when its control is lost"))]
ControlVolts = Annotated[float | None, Fact(N_("voltage of its coil or control"), "V", low=0)]
ControlA = Annotated[float | None, Fact(N_("current its coil or control takes"), "A", low=0)]
ControlledBy = Annotated[str, Fact(N_("what commands it"), refers="equipment")]
ManualOverride = Annotated[bool | None, Fact(N_("can be worked by hand: yes, no or not known"))]

# -- consumers ------------------------------------------------------------------------------------------------------
Service = Annotated[
    Literal[
        "",
        "bilge pump",
        "bilge blower",
        "navigation lights",
        "navigation electronics",
        "communication",
        "alarm",
        "gas detector",
        "memory supply",
        "steering",
        "fire pump",
        "engine control",
        "engine starter",
        "windlass",
        "thruster",
        "winch",
        "lighting",
        "pump",
        "fan",
        "refrigeration",
        "cooking",
        "heating",
        "air conditioning",
        "electronics",
        "entertainment",
        "charging",
        "panel",
        "other",
    ],
    Fact(N_("what it serves")),
]
Essential = Annotated[bool | None, Fact(N_("the boat's safety depends on it: yes, no or not known"))]
DropClass = Annotated[Literal["", "essential", "other"], Fact(N_("voltage drop class"))]
MinimumVolts = Annotated[float | None, Fact(N_("lowest voltage it works at"), "V", low=0)]
HighestVolts = Annotated[float | None, Fact(N_("highest voltage it takes"), "V", low=0)]
Duties = Annotated[tuple[Duty, ...], Fact(N_("hours a day in each condition"))]
DutyShare = Annotated[float | None, Fact(N_("share of those hours in which it really draws"), low=0, high=1)]
UsesNeutral = Annotated[bool | None, Fact(N_("takes the neutral besides several lines: yes, no or not known"))]
LeakageKind = Annotated[
    Literal["", "AC", "pulsating", "high frequency", "smooth"],
    Fact(N_("shape of the residual current a fault in it gives")),
]
