"""A large alternator with an external regulator that the battery management stops before it opens the battery."""

from __future__ import annotations

from typing import Any

from engine.edits.edit import EditError
from engine.templates.charged import LITHIUM, charge_facts, let_stop
from engine.templates.dc_side import ask_volts, dc_side, volts_of
from engine.templates.making import Making, Spot
from engine.templates.question import Answers, Question
from engine.templates.stock import class_t
from engine.words import N_, _

__all__ = ["NAME", "PURPOSE", "QUESTIONS", "TITLE", "build"]

NAME = "regulated-alternator"
TITLE = N_("Alternator with external regulator, stopped by the battery")
PURPOSE = N_("The battery management tells the regulator to take the field off before it opens the lithium bank.")
QUESTIONS = (
    ask_volts(),
    Question("alternator", N_("rating of the alternator, cold"), "A", 120, 60, 200),
    Question("alternator_m", N_("way from the fuse at the battery to the alternator"), "m", 3, 0.5, 6),
    Question("bank", N_("capacity of its lithium bank"), "Ah", 400, 300, 600),
    Question("house", N_("lithium bank of the drawing; empty: it brings one, with its main"), joins="bank"),
    Question("engine", N_("engine of the drawing it is driven by; empty: it brings one"), joins="engine"),
)


def build(m: Making, a: Answers) -> None:
    """Bank with management, fuse at its post, alternator, regulator, engine."""
    volts, amps = volts_of(a), a.figure("alternator")
    bank = _bank(m, a, volts)
    charge = charge_facts(m, (bank,), volts)
    engine = _engine(m, a)
    rating = m.rating(amps * 1.25)
    fuse = m.add("fuse", "battery box", _("alternator"), **class_t(rating))
    machine = m.add(
        "alternator",
        "engine space",
        _("alternator"),
        ("rating_a", "dc_v"),
        dc_v=volts,
        rating_a=amps,
        hot_a=amps * 0.75,
        charge_v=charge["charge_v"],
        regulator="external",
        self_limiting=True,
        isolated_return=True,
        engine=engine,
        obeys_stop=True,
        survives_cut_off=False,
        field_opens_first=True,
        field_a=6.0,
    )
    regulator = m.add(
        "alternator_regulator",
        "engine space",
        _("alternator regulator"),
        alternators=(machine,),
        dc_v=volts,
        **charge,
        limit_a=amps * 0.75,
        obeys_stop=True,
        on_sense_loss="opens",
        temperature_sensed=True,
        alternator_temperature_sensed=True,
        field_a=6.0,
    )
    management = _management(m, a, bank, machine)
    m.dc(Spot(bank, "pos"), Spot(fuse, "in"), rating, 0.15, volts=volts)
    way = a.figure("alternator_m")
    m.dc(Spot(fuse, "out"), Spot(machine, "pos"), rating, way, volts=volts, load_a=amps, typed=("length_m",))
    m.signal(Spot(regulator, "field"), Spot(machine, "field"), 0.5)
    m.signal(Spot(management, "signal"), Spot(regulator, "sense"), 3.0)
    m.condition(_("Under way"), {}, (machine,))


def _bank(m: Making, a: Answers, volts: float) -> str:
    """The bank that was named, else a new one with main, switch and bus; the alternator does not pass the switch."""
    if not a.word("house"):
        return dc_side(m, a, 200.0, chemistry="managed lithium", metres=1.0).bank
    bank = m.found(a.word("house"), "house")
    if m.of(bank).store() is None or m.of(bank).chemistry not in LITHIUM:
        raise EditError(_("house: {designation} is no lithium bank").format(designation=a.word("house")))
    m.hold_to(volts, Spot(bank, "pos"), "+", "house")
    return bank


def _management(m: Making, a: Answers, bank: str, machine: str) -> str:
    """The management of the bank, which can now stop the alternator too; a new one where none is drawn for it."""
    there = let_stop(m, (bank,), machine)
    if there:
        return there
    amp_hours = m.of(bank).unit_ah * m.of(bank).parallel if m.of(bank).unit_ah else a.figure("bank")
    return m.add(
        "battery_management",
        "battery box",
        _("battery management"),
        batteries=(bank,),
        stops=(machine,),
        charge_limit_a=amp_hours * 0.5,
        discharge_limit_a=amp_hours,
        cell_high_v=3.65,
        cell_low_v=2.8,
        lowest_charge_c=2.0,
        alarm_before_shutdown=True,
        stops_sources_first=True,
        link="wired contact",
        on_link_loss="opens",
        standby_w=2.0,
    )


def _engine(m: Making, a: Answers) -> str:
    if a.word("engine"):
        item = m.found(a.word("engine"), "engine")
        if m.of(item).KIND != "engine":
            raise EditError(_("engine: {designation} is no engine").format(designation=a.word("engine")))
        return item
    petrol = m.draft.first.vessel.engine_fuel.startswith("petrol")
    facts: dict[str, Any] = {"fuel": "petrol" if petrol else "diesel", "purpose": "propulsion"}
    return m.add(
        "engine",
        "engine space",
        _("engine"),
        return_path="isolated",
        stop_control="mechanical",
        idle_rpm=800.0,
        cruise_rpm=2600.0,
        **facts,
    )
