"""What insulation, trip time, torque and temperature a reading should be, by the book, the tables and the drawing."""

from __future__ import annotations

import math

from engine.books import Book
from engine.circuit.faults.curves import clearing
from engine.circuit.volts import Island
from engine.equipment.base import Equipment
from engine.installation.surveying import Reading
from engine.study import Study
from engine.survey.places import end_of, ends_at
from engine.survey.results import Expected, Unknown
from engine.units import number, show
from engine.words import _

__all__ = ["insulation", "temperature", "torque", "trip"]

INSULATION, TRIP, TORQUE, HEAT = "insulation-too-low", "trip-out-of-band", "torque-differs", "too-hot"
LIVE = ("+", "L1", "L2", "L3")


# -- insulation -----------------------------------------------------------------------------------------------------
def insulation(study: Study, item: str, reading: Reading) -> Expected | Unknown | None:
    """The least insulation resistance of the circuit; a test with less than the book's volts proves nothing."""
    book = study.book
    bands = [(name, book.limit(INSULATION, f"{name}_ohm"), book.limit(INSULATION, f"{name}_test_v")) for name in _BANDS]
    if any(least is None or test is None for _name, least, test in bands):
        return None
    volts = _circuit_volts(study, reading)
    names = _bands(book, volts) if volts is not None else _BANDS
    some = [(least, test) for name, least, test in bands if name in names and least is not None and test is not None]
    if not some:
        return None
    low, high = min(least.value for least, _t in some), max(least.value for least, _t in some)
    test = max(test.value for _l, test in some)
    found = reading.insulation_ohm or 0.0
    if found < low:
        return Expected(low=low, detail="low")
    if volts is None and found < high:
        return Unknown(_("the nominal voltage of the circuit is not known"), _volt_fields(study, reading))
    if reading.test_v is None:
        return Unknown(_("with which voltage it was tested is not recorded"), (f"{item}.test_v",))
    if reading.test_v < min(test.value for _l, test in some):
        return Unknown(
            _("it was tested with {found}, {asked} are asked for").format(
                found=show(reading.test_v, "V"), asked=show(min(test.value for _l, test in some), "V")
            )
        )
    if volts is None and reading.test_v < test:
        return Unknown(_("the nominal voltage of the circuit is not known"), _volt_fields(study, reading))
    return Expected(low=high)


_BANDS = ("extra_low", "low", "above")


def _bands(book: Book, volts: tuple[str, float]) -> tuple[str, ...]:
    kind, nominal = volts
    least = book.limit(INSULATION, f"extra_low_{kind}_v")
    most = book.limit(INSULATION, "above_v")
    if least is not None and nominal <= least.value:
        return ("extra_low",)
    return ("above",) if most is not None and nominal > most.value else ("low",)


def _islands(study: Study, reading: Reading) -> list[Island]:
    snapshot = study.snapshot
    places: list[tuple[str, str]] = []
    if reading.at in snapshot.runs:
        run = snapshot.runs[reading.at]
        places = [(end.equipment, end.terminal) for end in (run.from_end, run.to_end)]
    elif reading.at in snapshot.equipment:
        every = snapshot.equipment[reading.at].terminals()
        places = [(reading.at, t.name) for t in every if reading.terminal in ("", t.name)]
    found = []
    for equipment, terminal in places:
        for conductor in LIVE:
            node = study.circuit.node(equipment, terminal, conductor)
            if node is not None:
                found.append(study.volts.at(node))
    return found


def _circuit_volts(study: Study, reading: Reading) -> tuple[str, float] | None:
    """The kind of circuit and its highest nominal volts, `None` where any is not known."""
    kinds: list[tuple[str, float]] = []
    for island in _islands(study, reading):
        if island.unknown():
            return None
        kinds += [(feed.source.system, feed.source.nominal_v) for feed in island.feeds if feed.source.nominal_v]
    return max(kinds, key=lambda each: (each[0] == "ac", each[1]), default=None)


def _volt_fields(study: Study, reading: Reading) -> tuple[str, ...]:
    return tuple(
        dict.fromkeys(
            f"{study.name(feed.equipment)}.{field}"
            for island in _islands(study, reading)
            for feed in island.unknown()
            for field in feed.source.missing
        )
    )


# -- trip time ------------------------------------------------------------------------------------------------------
def trip(study: Study, item: str, reading: Reading) -> Expected | Unknown | None:
    """The band of an overcurrent device at the current it was tested with, or the limits of residual current."""
    record = study.snapshot.equipment.get(reading.at)
    if record is None:
        return Unknown(_("a run does not open"))
    residual = record.residual()
    if record.trip() is None and residual is None:
        return Unknown(_("it has no trip"))
    if reading.test_a is None:
        return Unknown(_("the current it was made to open with is not recorded"), (f"{item}.test_a",))
    times = study.book.limit(TRIP, "residual_up_to")
    if residual is not None and times is not None:
        name = study.name(reading.at)
        if residual.trips_ma is None:
            return Unknown(_("its residual current is not recorded"), (f"{name}.residual_ma",))
        if record.trip() is None or reading.test_a <= times.value * residual.trips_ma / 1000:
            return _residual(study, record, reading, residual.trips_ma / 1000, residual.within_ms)
    return _overcurrent(study, record, reading)


def _residual(
    study: Study, record: Equipment, reading: Reading, rated_a: float, within_ms: float | None
) -> Expected | Unknown | None:
    """General and delayed types differ; where nobody knows which it is, both must agree."""
    assert reading.test_a is not None
    assert reading.trip_s is not None
    multiple = reading.test_a / rated_a
    limits = {}
    for kind in ("general", "delayed"):
        steps = [
            (times, study.book.limit(TRIP, f"{kind}_{n}")) for times, n in ((5.0, "five"), (2.0, "two"), (1.0, "one"))
        ]
        limits[kind] = next((limit for times, limit in steps if multiple >= times * 0.995), None)
    general, delayed = limits["general"], limits["delayed"]
    if multiple < 0.995:
        return Unknown(
            _("it was tested with {test}, less than the {rated} it must open at").format(
                test=show(reading.test_a, "A"), rated=show(rated_a, "A")
            )
        )
    if general is None or delayed is None:
        return None
    plate = math.inf if within_ms is None else within_ms / 1000
    is_delayed = getattr(record, "delayed", False)
    sooner, later = min(general.value, plate), min(delayed.value, plate)
    arithmetic = _("{test} / {rated} = {times}").format(
        test=show(reading.test_a, "A"), rated=show(rated_a, "A"), times=number(multiple)
    )
    if is_delayed is None and sooner < reading.trip_s <= later:
        name = study.name(reading.at)
        return Unknown(_("whether it opens with a delay is not recorded"), (f"{name}.delayed",))
    return Expected(high=later if is_delayed else sooner, arithmetic=arithmetic, detail="residual")


def _overcurrent(study: Study, record: Equipment, reading: Reading) -> Expected | Unknown:
    assert reading.test_a is not None
    told = clearing(record, reading.test_a)
    name = study.name(reading.at)
    if told.slowest_s is None and told.fastest_s is None:
        return Unknown(_("its time-current band is not known"), tuple(f"{name}.{field}" for field in told.missing))
    low = told.fastest_s if told.fastest_s is not None and math.isfinite(told.fastest_s) else None
    high = told.slowest_s if told.slowest_s is not None and math.isfinite(told.slowest_s) else None
    if low is None and high is None:
        if told.fastest_s is not None and math.isinf(told.fastest_s):
            return Expected(low=math.inf, arithmetic=told.source, detail="never")
        return Unknown(_("nothing is promised of when it opens at that current"))
    return Expected(low=low or None, high=high, arithmetic=told.source)


# -- torque ---------------------------------------------------------------------------------------------------------
def torque(study: Study, item: str, reading: Reading) -> Expected | Unknown | None:
    """The torque recorded for the end that was found so."""
    share = study.book.limit(TORQUE, "share")
    if share is None:
        return None
    snapshot = study.snapshot
    if reading.at in snapshot.runs:
        run = snapshot.runs[reading.at]
        end = end_of(snapshot, reading.at, reading.terminal)
        ends = [(reading.at, end)] if end else [(reading.at, each) for each in (run.from_end, run.to_end)]
        if end is None and run.from_end.torque_nm != run.to_end.torque_nm:
            return Unknown(_("at which end it was measured is not recorded"), (f"{item}.terminal",))
    else:
        ends = list(ends_at(snapshot, reading.at, reading.terminal))
    told = {end.torque_nm for _run, end in ends if end.torque_nm is not None}
    if not told:
        names = tuple(dict.fromkeys(f"{study.name(run)}.torque_nm" for run, _end in ends))
        return Unknown(_("the torque it is tightened to is not recorded"), names)
    if len(told) > 1:
        return Unknown(_("at which terminal it was measured is not recorded"), (f"{item}.terminal",))
    asked = told.pop()
    return Expected(asked, asked * (1 - share.value), asked * (1 + share.value))


# -- temperature ----------------------------------------------------------------------------------------------------
def temperature(study: Study, item: str, reading: Reading) -> Expected | Unknown | None:
    """The insulation's class, less what full load and the warmest air would add where these are known.

    The rise over the air grows with the square of the current (heat of resistance, at rest).
    """
    if not study.book.has(HEAT):
        return None
    snapshot = study.snapshot
    runs = (
        [reading.at]
        if reading.at in snapshot.runs
        else [r for r, _e in ends_at(snapshot, reading.at, reading.terminal)]
    )
    classes = [snapshot.runs[run].insulation_c for run in runs]
    known = [each for each in classes if each is not None]
    missing = tuple(
        f"{study.name(run)}.insulation_c" for run in dict.fromkeys(runs) if snapshot.runs[run].insulation_c is None
    )
    found = reading.temperature_c or 0.0
    full, arithmetic = _at_full_load(study, reading)
    worst = max(found, full) if full is not None else found
    if known and (worst > min(known) or not missing):
        if full is not None and full > found:
            return Expected(high=min(known), arithmetic=arithmetic, detail="full load", reckoned=full)
        return Expected(high=min(known))
    return Unknown(_("the temperature class of the insulation there is not recorded"), missing)


def _at_full_load(study: Study, reading: Reading) -> tuple[float | None, str]:
    """The temperature at the most that flows and in the warmest air recorded, with its arithmetic."""
    least = study.book.limit(HEAT, "least_load")
    found, ambient, amps = reading.temperature_c, reading.ambient_c, reading.current_a
    full = _full_load(study, reading.at)
    if found is None or ambient is None or not amps or full is None or least is None or full <= 0:
        return None, ""
    if amps < least.value * full or amps > full:
        return None, ""  # too little flowed to tell, or more than it is made for
    warmest = _warmest(study, reading.at)
    air = ambient if warmest is None else max(warmest, ambient)
    made = air + max(found - ambient, 0.0) * (full / amps) ** 2
    return made, _("{air} + ({found} - {ambient}) × ({full} / {amps})² = {made}").format(
        air=show(air, "degC"),
        found=show(found, "degC"),
        ambient=show(ambient, "degC"),
        full=show(full, "A"),
        amps=show(amps, "A"),
        made=show(made, "degC"),
    )


def _full_load(study: Study, at: str) -> float | None:
    """A device's rating, what a switch may carry, of a run the most that flows in any condition; `None`: not known."""
    record = study.snapshot.equipment.get(at)
    if record is not None:
        told, carries = record.trip(), record.carries()
        if told is not None:
            return told.rating_a
        return carries.continuous_a if carries is not None else None
    every = [run for flow in study.flows for run in flow.runs if run.run == at]
    if not every or any(run.amps is None or run.at_least for run in every):
        return None
    return max(abs(run.amps) for run in every if run.amps is not None)


def _warmest(study: Study, at: str) -> float | None:
    snapshot = study.snapshot
    if at in snapshot.equipment:
        record = snapshot.equipment[at]
        enclosure = snapshot.enclosures.get(record.enclosure)
        places = [record.place or (enclosure.place if enclosure is not None else "")]
    else:
        places = [passage.place for passage in snapshot.runs[at].places]
    known = [snapshot.places[p].temperature_c for p in places if p in snapshot.places]
    return max((t for t in known if t is not None), default=None)
