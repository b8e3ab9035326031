"""Everything an installation holds besides equipment. File version 1: these records are for ever.

Ids are made once and never used again; people read designations. `""` stands for "none" in a reference.
"""

from __future__ import annotations

from typing import Annotated, ClassVar, Literal

from engine.equipment.base import AC, DC, Phases, Status, phase_names
from engine.record import FARTHEST, Fact, Part, Record
from engine.words import N_

__all__ = [
    "Aside",
    "Bend",
    "Condition",
    "ConditionDuty",
    "Enclosure",
    "End",
    "Held",
    "Interlock",
    "Legend",
    "Passage",
    "Place",
    "PlaceKind",
    "Placement",
    "Remark",
    "Revision",
    "Route",
    "Run",
    "Setting",
    "Settings",
    "Sheet",
    "TitleBlock",
    "Underlay",
    "Vessel",
    "VoltageSystem",
    "Waiver",
]

PlaceKind = Literal[
    "",
    "petrol machinery",
    "diesel machinery",
    "battery",
    "LPG",
    "wet",
    "deck",
    "galley",
    "accommodation",
    "other",
]


class Vessel(Record, frozen=True, kw_only=True):
    """The boat: what decides which book binds her."""

    name: Annotated[str, Fact(N_("name of the vessel"))] = ""
    hin: Annotated[str, Fact(N_("hull identification number"))] = ""
    official_number: Annotated[str, Fact(N_("official number"))] = ""
    builder: Annotated[str, Fact(N_("builder"))] = ""
    build_year: Annotated[int | None, Fact(N_("year built"), low=1800, high=2200)] = None
    hull: Annotated[Literal["", "glass fibre", "wood", "steel", "aluminium", "other"], Fact(N_("hull material"))] = ""
    engine_fuel: Annotated[
        Literal["", "petrol", "petrol outboard", "diesel", "electric", "none"],
        Fact(N_("fuel of the engine")),
    ] = ""
    length_m: Annotated[float | None, Fact(N_("length of the hull"), "m", low=0)] = None
    use: Annotated[Literal["", "pleasure", "small passenger", "workboat", "fishing", "other"], Fact(N_("use"))] = ""
    flag: Annotated[str, Fact(N_("flag"))] = ""
    coldest_c: Annotated[float | None, Fact(N_("coldest temperature expected"), "degC", low=-60, high=60)] = None


class Place(Record, frozen=True, kw_only=True):
    """A space aboard. Its temperature derates what runs through it."""

    name: Annotated[str, Fact(N_("name of the place"))]
    kind: Annotated[PlaceKind, Fact(N_("kind of place"))] = ""
    temperature_c: Annotated[float | None, Fact(N_("highest temperature expected"), "degC", low=-60, high=150)] = None
    note: Annotated[str, Fact(N_("note"))] = ""


class Legend(Part, frozen=True, kw_only=True):
    """One way of a panel: its position and what is written there."""

    position: Annotated[str, Fact(N_("position"))]
    text: Annotated[str, Fact(N_("legend"))] = ""
    spare: Annotated[bool, Fact(N_("nothing fitted"))] = False


class Enclosure(Record, frozen=True, kw_only=True):
    """A panel, box or switchboard that equipment stands in."""

    name: Annotated[str, Fact(N_("name of the enclosure"))]
    place: Annotated[str, Fact(N_("where it stands"), refers="places")] = ""
    rows: Annotated[int | None, Fact(N_("rows"), low=0)] = None
    columns: Annotated[int | None, Fact(N_("positions a row"), low=0)] = None
    legend: Annotated[tuple[Legend, ...], Fact(N_("positions and what is written there"))] = ()
    several_sources_sign: Annotated[bool | None, Fact(N_("carries the sign that several sources feed it"))] = None
    outline: Annotated[bool, Fact(N_("its outline is drawn round what stands in it"))] = True
    note: Annotated[str, Fact(N_("note"))] = ""


class End(Part, frozen=True, kw_only=True):
    """Where a run arrives and how."""

    equipment: Annotated[str, Fact(N_("equipment"), refers="equipment")]
    terminal: Annotated[str, Fact(N_("terminal"))]
    lug: Annotated[str, Fact(N_("terminal fitting"))] = ""
    stud: Annotated[str, Fact(N_("stud size"))] = ""
    stud_number: Annotated[int | None, Fact(N_("stud along a bus, counted from 1"), low=1)] = None
    torque_nm: Annotated[float | None, Fact(N_("tightening torque"), "Nm", low=0)] = None
    marker: Annotated[str, Fact(N_("marker at this end"))] = ""
    seen: Annotated[bool | None, Fact(N_("this end was seen by whoever traced the run"))] = None


class Passage(Part, frozen=True, kw_only=True):
    """A place a run passes, with the length in it and how much of that has no sheath."""

    place: Annotated[str, Fact(N_("place"), refers="places")]
    length_m: Annotated[float | None, Fact(N_("length in this place"), "m", low=0)] = None
    unsheathed_m: Annotated[float | None, Fact(N_("of that without sheath"), "m", low=0)] = None


SheetSize = Literal["A4", "A3", "A2", "A1", "Letter", "Tabloid", "ANSI C", "ANSI D"]
RunFunction = Literal["dc pair", "dc positive", "dc negative", "ac", "earth", "bonding", "signal"]


class Run(Record, frozen=True, kw_only=True):
    """A cable between two terminals. One line on the sheet stands for all conductors its function lists."""

    FILE_NAMES: ClassVar[dict[str, str]] = {"from_end": "from", "to_end": "to"}

    from_end: Annotated[End, Fact(N_("one end"))]
    to_end: Annotated[End, Fact(N_("the other end"))]
    designation: Annotated[str, Fact(N_("designation on the drawing"))] = ""
    label: Annotated[str, Fact(N_("what it is for"))] = ""
    function: Annotated[RunFunction, Fact(N_("what it carries"))] = "dc pair"
    phases: Annotated[Phases, Fact(N_("live conductors of an AC run"))] = "L1"
    neutral: Annotated[bool, Fact(N_("an AC run has a neutral"))] = True
    earth: Annotated[bool, Fact(N_("an AC run has a protective earth"))] = True
    size: Annotated[str, Fact(N_("conductor size"), "size")] = ""
    earth_size: Annotated[str, Fact(N_("size of the earth conductor where it differs"), "size")] = ""
    length_m: Annotated[float | None, Fact(N_("length, one way"), "m", low=0)] = None
    conductor: Annotated[
        Literal["", "tinned copper", "copper", "aluminium", "copper-clad aluminium"],
        Fact(N_("conductor material")),
    ] = ""
    insulation_c: Annotated[float | None, Fact(N_("temperature class of the insulation"), "degC", low=0, high=300)] = (
        None
    )
    insulation: Annotated[str, Fact(N_("insulation type"))] = ""
    bundle: Annotated[int | None, Fact(N_("current-carrying conductors bundled together, its own included"), low=1)] = (
        None
    )
    sheath: Annotated[
        Literal["", "bare", "sheathed", "enclosed"],
        Fact(N_("insulation only, in a sheath or conduit, or inside an enclosure")),
    ] = ""
    parallel: Annotated[int, Fact(N_("equal conductors in parallel"), low=1)] = 1
    colour: Annotated[str, Fact(N_("insulation colour"))] = ""
    places: Annotated[tuple[Passage, ...], Fact(N_("places it passes"))] = ()
    exempt: Annotated[Literal["", "cranking", "pigtail"], Fact(N_("cranking circuit or component pigtail"))] = ""
    away_reason: Annotated[str, Fact(N_("why the protective device is not at the source"))] = ""
    status: Annotated[Status, Fact(N_("existing, new, to remove, by others, spare"))] = "existing"
    old_marking: Annotated[str, Fact(N_("marking before the refit"))] = ""
    part_number: Annotated[str, Fact(N_("part number of the cable"))] = ""
    maker: Annotated[str, Fact(N_("maker of the cable"))] = ""
    price: Annotated[float | None, Fact(N_("price a metre"), low=0)] = None
    supported: Annotated[bool | None, Fact(N_("supported as the book asks"))] = None
    chafe_protected: Annotated[bool | None, Fact(N_("protected against chafe"))] = None
    separated: Annotated[bool | None, Fact(N_("AC and DC kept apart"))] = None
    drop_class: Annotated[
        Literal["", "essential", "other"], Fact(N_("voltage drop class where it differs from the load's"))
    ] = ""
    note: Annotated[str, Fact(N_("note"))] = ""

    def conductors(self) -> tuple[str, ...]:
        """Names of the conductors this run joins at its two terminals."""
        if self.function == "dc pair":
            return DC
        if self.function == "dc positive":
            return ("+",)
        if self.function == "dc negative":
            return ("-",)
        if self.function == "ac":
            return (
                *phase_names(self.phases),
                *(("N",) if self.neutral else ()),
                *(("PE",) if self.earth else ()),
            )
        return ("S",) if self.function == "signal" else ("PE",)

    def is_ac(self) -> bool:
        """Whether it carries alternating current."""
        return self.function == "ac" and self.conductors()[0] in AC


class Underlay(Part, frozen=True, kw_only=True):
    """A photograph or a page of a PDF under a sheet, to trace.

    A point (u, v) of the picture, pixels or PDF points from its upper left corner, v down, lies on the sheet at
    `left_mm`, `top_mm` from the paper's corner + (u, v) turned clockwise about that corner, times `mm_per_unit`.
    """

    file: Annotated[str, Fact(N_("file, seen from the folder of the drawing"))]
    sha256: Annotated[str, Fact(N_("checksum of the file, SHA-256"))] = ""
    page: Annotated[int, Fact(N_("page of a PDF"), low=1)] = 1
    left_mm: Annotated[float, Fact(N_("from the left edge of the paper"), "mm")] = 0.0
    top_mm: Annotated[float, Fact(N_("from the upper edge of the paper"), "mm")] = 0.0
    mm_per_unit: Annotated[float, Fact(N_("scale: millimetres on the sheet for a pixel or PDF point"), above=0)] = 1.0
    turned_deg: Annotated[float, Fact(N_("turned clockwise"), "deg", low=-360, high=360)] = 0.0
    strength_percent: Annotated[float, Fact(N_("how strongly it shows"), "%", low=0, high=100)] = 35.0
    printed: Annotated[bool, Fact(N_("it is printed too"))] = False


class Sheet(Record, frozen=True, kw_only=True):
    """One sheet of the drawing set."""

    title: Annotated[str, Fact(N_("title of the sheet"))] = ""
    number: Annotated[int, Fact(N_("sheet number"), low=1)] = 1
    size: Annotated[SheetSize, Fact(N_("paper size"))] = "A3"
    underlay: Annotated[Underlay | None, Fact(N_("picture under the sheet"))] = None


class Aside(Part, frozen=True, kw_only=True):
    """Where a label was put by hand: steps of 0.5 mm from what it belongs to, to the label's upper left corner."""

    x: Annotated[int, Fact(N_("half millimetres to the right"), low=-FARTHEST, high=FARTHEST)]
    y: Annotated[int, Fact(N_("half millimetres down"), low=-FARTHEST, high=FARTHEST)]


class Placement(Record, frozen=True, kw_only=True):
    """Equipment on a sheet. A piece may have several, each terminal shown by exactly one.

    `x`, `y` count grid steps of 2.5 mm from the frame's upper left corner, y down.
    """

    equipment: Annotated[str, Fact(N_("equipment"), refers="equipment")]
    sheet: Annotated[str, Fact(N_("sheet"), refers="sheets")]
    terminals: Annotated[tuple[str, ...], Fact(N_("terminals shown; none named: all"))] = ()
    x: Annotated[int, Fact(N_("grid steps from the left"), low=-FARTHEST, high=FARTHEST)] = 0
    y: Annotated[int, Fact(N_("grid steps from the top"), low=-FARTHEST, high=FARTHEST)] = 0
    rotation: Annotated[Literal[0, 90, 180, 270], Fact(N_("rotation, clockwise"))] = 0
    mirrored: Annotated[bool, Fact(N_("mirrored left to right"))] = False
    length: Annotated[
        int | None, Fact(N_("grid steps a bus is long, or from one way of a module to the next"), low=1)
    ] = None
    symbol: Annotated[str, Fact(N_("symbol it is drawn with where it is not that of its kind"))] = ""
    label: Annotated[Aside | None, Fact(N_("where its label was put by hand, from the symbol's origin"))] = None


class Bend(Part, frozen=True, kw_only=True):
    """A corner of a route on the grid."""

    x: Annotated[int, Fact(N_("grid steps from the left"), low=-FARTHEST, high=FARTHEST)]
    y: Annotated[int, Fact(N_("grid steps from the top"), low=-FARTHEST, high=FARTHEST)]


class Route(Record, frozen=True, kw_only=True):
    """How a run goes on one sheet: its corners between the two terminals. `by_hand` corners stay when an end moves.

    Where the other terminal is on another sheet the outermost corner is the end of the line, drawn as an arrow. `gap`
    counts the corners before such an end where both terminals are on this sheet and the line is broken all the same.
    """

    run: Annotated[str, Fact(N_("run"), refers="runs")]
    sheet: Annotated[str, Fact(N_("sheet"), refers="sheets")]
    bends: Annotated[tuple[Bend, ...], Fact(N_("corners"))] = ()
    gap: Annotated[int | None, Fact(N_("corners before the line is broken off"), low=1)] = None
    by_hand: Annotated[bool, Fact(N_("set by hand"))] = False
    label: Annotated[Aside | None, Fact(N_("where its label was put by hand, from its first point"))] = None
    far_label: Annotated[Aside | None, Fact(N_("where that of its other arrow was put, where it is broken off"))] = None


class Remark(Record, frozen=True, kw_only=True):
    """Words on a sheet that belong to no equipment. `x`, `y`: its upper left corner, in grid steps as a placement's."""

    sheet: Annotated[str, Fact(N_("sheet"), refers="sheets")]
    text: Annotated[str, Fact(N_("what it says"))] = ""
    x: Annotated[int, Fact(N_("grid steps from the left"), low=-FARTHEST, high=FARTHEST)] = 0
    y: Annotated[int, Fact(N_("grid steps from the top"), low=-FARTHEST, high=FARTHEST)] = 0
    width: Annotated[int, Fact(N_("grid steps it is wide"), low=2)] = 24
    height: Annotated[Literal["small", "normal", "large"], Fact(N_("height of its letters: 2.5, 3.5 or 5 mm"))] = (
        "normal"
    )
    framed: Annotated[bool, Fact(N_("a frame is drawn round it"))] = False
    points_at: Annotated[str, Fact(N_("equipment or run it points at"))] = ""


class Setting(Part, frozen=True, kw_only=True):
    """A switch and the position it stands in."""

    equipment: Annotated[str, Fact(N_("switch"), refers="equipment")]
    position: Annotated[str, Fact(N_("position"))]


class ConditionDuty(Part, frozen=True, kw_only=True):
    """A load and its hours in this condition."""

    equipment: Annotated[str, Fact(N_("load"), refers="equipment")]
    hours_a_day: Annotated[float, Fact(N_("hours a day"), "h", low=0, high=24)]


class Condition(Record, frozen=True, kw_only=True):
    """An operating condition, or a work stage of a refit: switch positions, sources that run, load duty."""

    name: Annotated[str, Fact(N_("name of the condition"))]
    order: Annotated[int, Fact(N_("place in the list"))] = 0
    work_stage: Annotated[bool, Fact(N_("a stage of the work rather than of use"))] = False
    settings: Annotated[tuple[Setting, ...], Fact(N_("positions that differ from the drawing"))] = ()
    running: Annotated[tuple[str, ...], Fact(N_("sources that run"), refers="equipment")] = ()
    duties: Annotated[tuple[ConditionDuty, ...], Fact(N_("hours of each load"))] = ()
    required_hours: Annotated[float | None, Fact(N_("hours it must last"), "h", low=0)] = None
    required_recharge_h: Annotated[float | None, Fact(N_("hours the bank must refill in"), "h", low=0)] = None
    peak_sun_h: Annotated[
        float | None, Fact(N_("peak-sun hours a day: the day's sun as hours at full power"), "h", low=0, high=24)
    ] = None
    note: Annotated[str, Fact(N_("note"))] = ""


class Held(Part, frozen=True, kw_only=True):
    """A device and those of its positions that an interlock counts."""

    equipment: Annotated[str, Fact(N_("switch"), refers="equipment")]
    positions: Annotated[tuple[str, ...], Fact(N_("positions counted"))] = ("closed",)


class Interlock(Record, frozen=True, kw_only=True):
    """At most `at_most` of the listed device positions hold at the same time."""

    name: Annotated[str, Fact(N_("name of the interlock"))] = ""
    kind: Annotated[Literal["mechanical", "electrical", "captive key"], Fact(N_("how it is done"))] = "mechanical"
    at_most: Annotated[int, Fact(N_("how many at the same time"), low=0)] = 1
    held: Annotated[tuple[Held, ...], Fact(N_("devices and positions"))] = ()
    note: Annotated[str, Fact(N_("note"))] = ""


class TitleBlock(Record, frozen=True, kw_only=True):
    """The fields of ISO 7200:2004."""

    legal_owner: Annotated[str, Fact(N_("legal owner of the drawing"))] = ""
    number: Annotated[str, Fact(N_("identification number"))] = ""
    revision: Annotated[str, Fact(N_("revision index"))] = ""
    date: Annotated[str, Fact(N_("date of issue, YYYY-MM-DD"))] = ""
    title: Annotated[str, Fact(N_("title"))] = ""
    supplementary_title: Annotated[str, Fact(N_("supplementary title"))] = ""
    department: Annotated[str, Fact(N_("responsible department"))] = ""
    technical_reference: Annotated[str, Fact(N_("technical reference"))] = ""
    creator: Annotated[str, Fact(N_("created by"))] = ""
    approver: Annotated[str, Fact(N_("approved by"))] = ""
    document_type: Annotated[str, Fact(N_("document type"))] = "Single-line diagram"
    classification: Annotated[str, Fact(N_("classification"))] = ""
    document_status: Annotated[str, Fact(N_("document status"))] = "Draft"
    language: Annotated[str, Fact(N_("language code"))] = "en"


class Revision(Record, frozen=True, kw_only=True):
    """An issue of the drawing."""

    index: Annotated[str, Fact(N_("revision index"))]
    date: Annotated[str, Fact(N_("date, YYYY-MM-DD"))] = ""
    by: Annotated[str, Fact(N_("by whom"))] = ""
    text: Annotated[str, Fact(N_("what changed"))] = ""
    issued: Annotated[bool, Fact(N_("issued: designations are locked"))] = False
    copy: Annotated[str, Fact(N_("the drawing as issued, a file seen from the folder of the drawing"))] = ""
    sha256: Annotated[str, Fact(N_("checksum of that file, SHA-256"))] = ""


class Waiver(Record, frozen=True, kw_only=True):
    """A finding that a named person has accepted, or promised to put right."""

    rule: Annotated[str, Fact(N_("rule"))]
    designations: Annotated[tuple[str, ...], Fact(N_("designations it speaks of"))] = ()
    reason: Annotated[str, Fact(N_("reason"))] = ""
    who: Annotated[str, Fact(N_("who decided"))] = ""
    date: Annotated[str, Fact(N_("date, YYYY-MM-DD"))] = ""
    review: Annotated[str, Fact(N_("to be looked at again by, YYYY-MM-DD"))] = ""
    clause: Annotated[str, Fact(N_("clause relied on"))] = ""
    intent: Annotated[Literal["accepted", "to be put right"], Fact(N_("accepted, or to be put right"))] = "accepted"
    figures: Annotated[
        tuple[str, ...], Fact(N_("the figures waived, as `name=value unit`; a change brings the finding back"))
    ] = ()


class VoltageSystem(Part, frozen=True, kw_only=True):
    """A system of voltage aboard, as the whole drawing names it."""

    name: Annotated[str, Fact(N_("name of the system"))] = ""
    kind: Annotated[Literal["DC", "AC"], Fact(N_("direct or alternating"))] = "DC"
    nominal_v: Annotated[float | None, Fact(N_("nominal voltage"), "V", low=0)] = None
    frequency_hz: Annotated[float | None, Fact(N_("frequency"), "Hz", low=0)] = None
    note: Annotated[str, Fact(N_("note"))] = ""


class Settings(Record, frozen=True, kw_only=True):
    """What belongs to the drawing as a whole."""

    book: Annotated[str, Fact(N_("rule book it is judged by"))] = "trade-na"
    book_edition: Annotated[str, Fact(N_("edition it was last judged by"))] = ""
    symbols: Annotated[Literal["IEC 60617", "IEEE 315"], Fact(N_("symbol standard"))] = "IEC 60617"
    units: Annotated[Literal["metric", "US"], Fact(N_("units for lengths"))] = "metric"
    left_out: Annotated[tuple[str, ...], Fact(N_("rows refused when the lists were imported"))] = ()
    declares_81346: Annotated[bool, Fact(N_("designations follow IEC 81346-2"))] = False
    waste_percent: Annotated[float, Fact(N_("waste added to cable lengths"), "%", low=0, high=100)] = 10.0
    currency: Annotated[str, Fact(N_("currency of prices"))] = ""
    sheet_size: Annotated[SheetSize, Fact(N_("paper size of new sheets"))] = "A3"
    systems: Annotated[tuple[VoltageSystem, ...], Fact(N_("systems of voltage aboard"))] = ()
