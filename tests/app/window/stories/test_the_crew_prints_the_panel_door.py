"""The crew opens the ketch, has the pages for the panel door made, looks at them, writes them; they say it all."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QToolButton

from engine.cautions import CAUTIONS

pytestmark = [pytest.mark.qt, pytest.mark.long]
K, M = Qt.Key, Qt.KeyboardModifier

# as the sample's lists record them: marking, designation
MAIN = {
    "HOUSE": "Q1",
    "ENGINE": "Q2",
    "INVERTER DC": "Q3",
    "SHORE MAIN": "Q10",
    "INV IN": "Q11",
    "INV OUT": "Q12",
    "BYPASS": "Q13",
    "SOLAR": "Q8",
}
EMERGENCY = ("Engine: stop", "SHORE MAIN: open", "SOLAR: open", "HOUSE: open", "ENGINE: open", "Shore supply: unplug")


def test_the_crew_prints_the_panel_door_pages(
    opens: Callable[[Path], Any],
    saves_to: Callable[[Path], None],
    reads: Callable[[Path], list[str]],
    ketch: Path,
    tmp_path: Path,
) -> None:
    crew = opens(ketch)
    window = crew.window

    # Hand over, by its button on the rail; the document is chosen from the list
    crew.click(window.findChild(QToolButton, "rail_handover"))
    page = window.pages.handover()
    crew.wait(lambda: page.list.count() > 0)
    crew.click_row(page.list, "Panel-door schematic")
    assert "emergency, main disconnects" in page.about.text()
    assert "For crew" in page.about.text()

    # looked at, in place of the sheet, page by page
    crew.click(page.look)
    preview = window.middle.preview
    crew.wait(lambda: preview.isVisible() and preview.pages is not None)
    assert preview.title.text() == "Panel-door schematic"
    assert crew.keyboard is preview.view
    seen = [preview.pages.text(preview.view.page)]
    for _n in range(preview.number.maximum() - 1):
        before = preview.view.page
        crew.click(preview.after)
        assert preview.view.page == before + 1
        seen.append(preview.pages.text(preview.view.page))
    assert "EMERGENCY: everything off" in seen[0]
    crew.press(K.Key_Home)
    crew.wait(lambda: preview.view.is_drawn)
    shown = preview.view.viewport().grab().toImage()
    assert len({shown.pixel(x, shown.height() // 3) for x in range(shown.width())}) > 2  # words, not an empty page

    # written, and read back
    target = tmp_path / "door.pdf"
    saves_to(target)
    crew.click(page.write_one)
    crew.wait(lambda: window.foot.message == f"Written: {target}")
    pages = reads(target)
    assert len(pages) == len(seen)
    for paper, screen in zip(pages, seen, strict=True):
        assert set(paper.split()) == set(screen.split())  # what was looked at is what is written

    # emergency first, in the order of the card
    at = [pages[0].index(step) for step in EMERGENCY]
    assert at == sorted(at)
    assert "EMERGENCY: cut the inverter" in pages[1]

    # main disconnects, numbered, each with its marking; a long one goes on below its first word
    main = " ".join(p for p in pages if "What “off” does" in p)
    for n, (marking, name) in enumerate(MAIN.items(), 1):
        assert f" {n} {marking.split()[0]} " in main, marking
        assert f"({name})" in main, name

    # every circuit of every panel, where it stands
    snapshot = window.document.snapshot()
    tables = " ".join(p for p in pages if "Pos. Legend Device Rating Feeds" in p)
    fitted = [e for e in snapshot.equipment.values() if e.enclosure and getattr(e, "position", None)]
    assert len(fitted) > 20
    for each in fitted:
        panel = snapshot.enclosures[each.enclosure].name
        assert panel in tables, panel
        assert f" {each.designation} " in tables, (panel, each.designation)
    for words in ("Navigation lights", "Anchor light", "Water heater", "Bilge pump 1", "Windlass"):
        assert words in tables, words
    assert "Rating not recorded: DC panel, Navigation station 9." in pages[-1]  # unknown is told, not guessed

    # the usual cautions: the short one on every page, all of them at the end
    for paper in pages:
        assert CAUTIONS[-1] in paper
    for text in CAUTIONS:
        assert text in pages[-1]
    assert not window.document.is_dirty
