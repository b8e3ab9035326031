"""The card *the battery has shut itself off*: what it says, in type that can be read."""

from __future__ import annotations

from pathlib import Path

from app.figures.battery_off import cut_inverter, start_engine, still_works
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
    assert [line.deed for line in cut_inverter(study)] == ["INVERTER: switch off first", "INVERTER DC: open"]
    assert [line.deed for line in start_engine(study, bank)] == ["Engine: from START"]
    told = list(still_works(study, bank))
    assert told[0].deed == "As before: Engine panel"
    assert "VHF radio" in told[1].deed
    assert "Shore supply" in told[1].deed
    for size, wide in (("A5", 148.0), ("A4", 210.0)):
        for card in battery_cards(study, bank, size):
            steps = [p for p in card.primitives if isinstance(p, Text) and p.height >= 5.0]
            assert card.width == wide
            assert steps
            assert all(0.0 < p.y < card.height for p in card.primitives if isinstance(p, Text))
