"""The card *the battery has shut itself off*: what it says, in type that can be read."""

from __future__ import annotations

from pathlib import Path

from app.figures.battery_off import cut_inverter, reconnect, start_engine, still_works
from app.paper.battery_card import battery_cards
from engine.books import load
from engine.files import drawing
from engine.picture import Text
from engine.study import Study

KETCH = Path(__file__).parents[3] / "samples" / "ketch" / "ketch.linewright"


def test_what_the_card_of_the_ketch_says() -> None:
    snapshot = drawing.load(KETCH).installation.snapshot()
    study = Study(snapshot, load(snapshot.settings.book))
    bank = next(item for item, record in snapshot.equipment.items() if record.designation == "G1")
    # the device that cuts the inverter's battery, by its marking; the unit off before it
    assert [line.deed for line in cut_inverter(study)] == [
        "INVERTER: switch off first",
        "INVERTER DC: open",
        "INV IN: open",
    ]
    (start,) = start_engine(study, bank)
    assert start == ("Engine: from START", "with ENGINE closed")  # no charger turns an engine
    told = list(still_works(study, bank))
    assert told[0].deed == "As before: Engine panel"
    assert "VHF radio" in told[1].deed
    assert "Shore supply" in told[1].deed
    assert "through OLD CHARGER" in told[1].about  # it is to be removed
    assert any(line.deed.startswith("Away from the shore these do not work") for line in told)
    for size, wide in (("A5", 148.0), ("A4", 210.0)):
        for card in battery_cards(study, bank, size):
            steps = [p for p in card.primitives if isinstance(p, Text) and p.height >= 5.0]
            assert card.width == wide
            assert steps
            assert all(0.0 < p.y < card.height for p in card.primitives if isinstance(p, Text))


def test_what_cuts_an_inverter_and_more_is_told_and_a_relay_turns_no_engine() -> None:
    path = KETCH.parents[1] / "workboat" / "workboat.linewright"
    snapshot = drawing.load(path).installation.snapshot()
    study = Study(snapshot, load(snapshot.settings.book))
    named = {record.designation: item for item, record in snapshot.equipment.items()}
    first, second = cut_inverter(study)
    assert (first.deed, second.deed) == ("SERVICE: open", "CHARGER: open")
    assert "Steering pump" in first.about  # the whole service bus hangs on it
    (start,) = start_engine(study, named["G1"])
    assert start.deed == "Main engine: nothing drawn starts it"
    assert "100 A" in start.about
    again = list(reconnect(study, named["G1"]))
    assert any("whether it has management is not recorded" in line.deed for line in again)
    assert not any("its management tells" in line.about for line in again)
