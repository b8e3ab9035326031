"""What a survey leaves in the drawing: surveys, deficiencies, photographs, what was inspected, what was measured.

File version 1: these records are for ever. Ids as in `records.py`; `at` holds an id of equipment, a run or a sheet,
and the designation in words once that is gone from the drawing.
"""

from __future__ import annotations

from typing import Annotated, Literal

from engine.record import FARTHEST, Fact, Record
from engine.words import N_

__all__ = ["Basis", "Deficiency", "Grade", "Inspection", "Instrument", "Photograph", "Reading", "Survey"]

Grade = Literal["", "A", "B", "C"]
Basis = Literal[
    "", "law that binds her", "standard when built", "standard today", "maker's instruction", "good practice"
]


class Survey(Record, frozen=True, kw_only=True):
    """One visit aboard: who looked, for whom, when and where, by which standards, within which limits."""

    name: Annotated[str, Fact(N_("name or number of the survey"))] = ""
    client: Annotated[str, Fact(N_("client"))] = ""
    reason: Annotated[str, Fact(N_("what it is made for"))] = ""
    surveyor: Annotated[str, Fact(N_("surveyor"))] = ""
    qualification: Annotated[str, Fact(N_("qualification of the surveyor"))] = ""
    date: Annotated[str, Fact(N_("date, YYYY-MM-DD"))] = ""
    until: Annotated[str, Fact(N_("last day where there were several, YYYY-MM-DD"))] = ""
    where: Annotated[str, Fact(N_("port or yard where she lay"))] = ""
    afloat: Annotated[Literal["", "afloat", "ashore"], Fact(N_("afloat or ashore"))] = ""
    standards: Annotated[tuple[str, ...], Fact(N_("standards used, each with its edition"))] = ()
    limits: Annotated[str, Fact(N_("limits of the survey, in the surveyor's words"))] = ""
    follows: Annotated[str, Fact(N_("survey that this one follows up"), refers="surveys")] = ""
    grade_a: Annotated[str, Fact(N_("wording of class A where it differs"))] = ""
    grade_b: Annotated[str, Fact(N_("wording of class B where it differs"))] = ""
    grade_c: Annotated[str, Fact(N_("wording of class C where it differs"))] = ""
    closing: Annotated[str, Fact(N_("closing words of the report"))] = ""
    issued: Annotated[str, Fact(N_("day the report was given out, YYYY-MM-DD"))] = ""
    note: Annotated[str, Fact(N_("note"))] = ""


class Photograph(Record, frozen=True, kw_only=True):
    """A photograph, kept once in the folder `photographs` beside the drawing, under the checksum of what is kept."""

    sha256: Annotated[str, Fact(N_("checksum of the file that is kept, SHA-256"))]
    source_sha256: Annotated[str, Fact(N_("checksum of the file it was taken from, SHA-256"))] = ""
    name: Annotated[str, Fact(N_("name of the file it was taken from"))] = ""
    caption: Annotated[str, Fact(N_("what it shows"))] = ""
    width: Annotated[int | None, Fact(N_("dots across"), low=1)] = None
    height: Annotated[int | None, Fact(N_("dots down"), low=1)] = None
    taken: Annotated[str, Fact(N_("when it was taken, as the camera says"))] = ""
    by: Annotated[str, Fact(N_("who took it"))] = ""
    location: Annotated[str, Fact(N_("where it was taken, kept only when asked"))] = ""


class Deficiency(Record, frozen=True, kw_only=True):
    """What a surveyor marks: what was seen, what it may bring, what to do, how it stands."""

    number: Annotated[int | None, Fact(N_("number in the square on the sheet"), low=1)] = None
    at: Annotated[str, Fact(N_("equipment, run or sheet it speaks of"))] = ""
    sheet: Annotated[str, Fact(N_("sheet it is marked on where it speaks of no equipment"), refers="sheets")] = ""
    x: Annotated[int | None, Fact(N_("grid steps from the left"), low=0, high=FARTHEST)] = None
    y: Annotated[int | None, Fact(N_("grid steps from the top"), low=0, high=FARTHEST)] = None
    place: Annotated[str, Fact(N_("place aboard"), refers="places")] = ""
    grade: Annotated[Grade, Fact(N_("A before further use, B soon, C upkeep"))] = ""
    basis: Annotated[Basis, Fact(N_("what the recommendation rests on"))] = ""
    standard: Annotated[str, Fact(N_("standard or law, with its edition"))] = ""
    standard_year: Annotated[int | None, Fact(N_("year of that edition"), low=1800, high=2200)] = None
    clause: Annotated[str, Fact(N_("clause relied on"))] = ""
    observation: Annotated[str, Fact(N_("what was seen"))] = ""
    risk: Annotated[str, Fact(N_("what it may bring"))] = ""
    recommendation: Annotated[str, Fact(N_("what to do"))] = ""
    status: Annotated[Literal["open", "in hand", "closed", "not agreed"], Fact(N_("how it stands"))] = "open"
    who: Annotated[str, Fact(N_("who noted it"))] = ""
    date: Annotated[str, Fact(N_("date, YYYY-MM-DD"))] = ""
    due: Annotated[str, Fact(N_("to be put right by, YYYY-MM-DD"))] = ""
    survey: Annotated[str, Fact(N_("survey it was noted in"), refers="surveys")] = ""
    photographs: Annotated[tuple[str, ...], Fact(N_("photographs"), refers="photographs")] = ()
    rule: Annotated[str, Fact(N_("rule whose finding it was made from"))] = ""
    figures: Annotated[tuple[str, ...], Fact(N_("figures of that finding, as `name=value unit`"))] = ()
    arithmetic: Annotated[str, Fact(N_("arithmetic of that finding"))] = ""
    closed_by: Annotated[str, Fact(N_("who saw it put right"))] = ""
    closed: Annotated[str, Fact(N_("day it was seen put right, YYYY-MM-DD"))] = ""
    evidence: Annotated[str, Fact(N_("what shows that it is put right"))] = ""
    evidence_photographs: Annotated[
        tuple[str, ...], Fact(N_("photographs that show it put right"), refers="photographs")
    ] = ()
    answer: Annotated[str, Fact(N_("what the owner or yard says, where it is not agreed"))] = ""


class Inspection(Record, frozen=True, kw_only=True):
    """What a surveyor says of one thing of the walk: whether it was seen, whether it was energised.

    Of equipment, a run, a sheet, an enclosure or a place by `at`; of a system of voltage by its name in `system`.
    """

    survey: Annotated[str, Fact(N_("survey"), refers="surveys")] = ""
    at: Annotated[str, Fact(N_("what was looked at"))] = ""
    place: Annotated[str, Fact(N_("place, of a run that passes several; none: all of it"), refers="places")] = ""
    system: Annotated[str, Fact(N_("system of voltage, where it speaks of one"))] = ""
    seen: Annotated[Literal["", "seen", "not seen", "not accessible"], Fact(N_("whether it was seen"))] = ""
    energised: Annotated[
        Literal["", "energised", "not energised", "not tested"], Fact(N_("whether it was seen energised"))
    ] = ""
    who: Annotated[str, Fact(N_("by whom"))] = ""
    date: Annotated[str, Fact(N_("date, YYYY-MM-DD"))] = ""
    note: Annotated[str, Fact(N_("note"))] = ""


class Instrument(Record, frozen=True, kw_only=True):
    """What readings are taken with."""

    name: Annotated[str, Fact(N_("what it is"))] = ""
    serial: Annotated[str, Fact(N_("serial number"))] = ""
    calibrated_until: Annotated[str, Fact(N_("calibrated until, YYYY-MM-DD"))] = ""
    accuracy: Annotated[str, Fact(N_("accuracy, as its maker states it"))] = ""
    note: Annotated[str, Fact(N_("note"))] = ""


class Reading(Record, frozen=True, kw_only=True):
    """One measured value, with what it was measured at, on what, in which condition, with which instrument.

    Which of the values is recorded says what was measured; the others stay unknown.
    """

    at: Annotated[str, Fact(N_("equipment or run it was measured at"))] = ""
    terminal: Annotated[str, Fact(N_("terminal it was measured at"))] = ""
    between: Annotated[str, Fact(N_("conductors it was measured between, such as + and -, L1 and PE"))] = ""
    condition: Annotated[str, Fact(N_("operating condition it was measured in"), refers="conditions")] = ""
    volts: Annotated[float | None, Fact(N_("voltage measured"), "V", low=0)] = None
    current_a: Annotated[float | None, Fact(N_("current measured"), "A", low=0)] = None
    insulation_ohm: Annotated[float | None, Fact(N_("insulation resistance measured"), "ohm", low=0)] = None
    test_v: Annotated[float | None, Fact(N_("voltage the insulation was tested with"), "V", above=0)] = None
    trip_s: Annotated[float | None, Fact(N_("time in which it opened"), "s", low=0)] = None
    test_a: Annotated[float | None, Fact(N_("current it was made to open with"), "A", above=0)] = None
    torque_nm: Annotated[float | None, Fact(N_("torque found"), "Nm", low=0)] = None
    temperature_c: Annotated[float | None, Fact(N_("temperature measured"), "degC", low=-60, high=1000)] = None
    ambient_c: Annotated[float | None, Fact(N_("temperature of the air about it"), "degC", low=-60, high=150)] = None
    instrument: Annotated[str, Fact(N_("instrument"), refers="instruments")] = ""
    survey: Annotated[str, Fact(N_("survey"), refers="surveys")] = ""
    who: Annotated[str, Fact(N_("by whom"))] = ""
    date: Annotated[str, Fact(N_("date, YYYY-MM-DD"))] = ""
    note: Annotated[str, Fact(N_("note"))] = ""
