"""The card *transfer and bypass*: large type that is never cut, pictures in strokes, overflow to a further card."""

from __future__ import annotations

from pathlib import Path

import pytest

from app.paper.cards import SIZES, STEP
from app.paper.cards_transfer import transfer_cards
from engine.circuit.switching.results import Order, Step
from engine.files.drawing import load
from engine.picture import Path as Strokes
from engine.picture import Text, path_box, text_box

ROOT = Path(__file__).parents[3]
KETCH = ROOT / "samples" / "ketch" / "ketch.linewright"


@pytest.fixture(scope="module")
def ketch():
    return load(str(KETCH)).installation.snapshot()


def an_order(snapshot, *, count: int = 6, see: str = "its handle fully at open") -> Order:
    at = {r.designation: i for i, r in snapshot.equipment.items()}
    every = (
        Step("start", at["G10"], "stands", "runs", see=(see,)),
        Step("switch", at["Q12"], "closed", "open", see=(see,)),
        Step("stop", at["T1"], "on", "off", why="for the change only: put back later", see=(see,)),
        Step("switch", at["Q3"], "closed", "open", see=(see,)),
    )
    start, stop = list(snapshot.conditions)[:2]
    return Order(start, stop, tuple(every[n % len(every)] for n in range(count)), found=True)


def texts(picture) -> list[Text]:
    return [p for p in picture.primitives if isinstance(p, Text)]


@pytest.mark.parametrize("size", ["A5", "A4"])
@pytest.mark.parametrize("count", [0, 1, 6, 30])
def test_everything_lies_on_the_paper_and_nothing_on_anything_else(ketch, size: str, count: int) -> None:
    pages = transfer_cards(ketch, an_order(ketch, count=count), size)
    assert (pages[0].width, pages[0].height) == SIZES[size]
    for page in pages:
        boxes = [text_box(t) for t in texts(page)]
        every = boxes + [path_box(p) for p in page.primitives if isinstance(p, Strokes)]
        assert all(b.left >= 5 and b.top >= 5 for b in every)
        assert all(b.right <= page.width - 5 and b.bottom <= page.height - 5 for b in every)
        for n, one in enumerate(boxes):
            assert not any(one.meets(other) for other in boxes[n + 1 :])
    assert len(pages) == 1 if count < 2 else len(pages) >= 1


def test_steps_are_numbered_through_and_their_capitals_are_five_millimetres_high(ketch) -> None:
    pages = transfer_cards(ketch, an_order(ketch, count=14), "A5")
    assert len(pages) > 1
    large = [t for page in pages for t in texts(page) if t.height >= STEP]
    assert STEP >= 5.0
    assert [t.text for t in large if t.text.rstrip(".").isdigit()] == [f"{n}." for n in range(1, 15)]
    written = " ".join(t.text for t in large)
    for wanted in ("INV OUT: open", "INVERTER: switch off", "INVERTER DC: open", "plug in", "Electrical locker"):
        assert wanted in written
    assert all(any("Battery fault currents" in t.text for t in texts(page)) for page in pages)
    assert all(any("Dunlin" in t.text for t in texts(page)) for page in pages)
    assert all(any("revision C" in t.text for t in texts(page)) for page in pages)
    assert [t.text for page in pages for t in texts(page) if t.text.startswith("card ")] == [
        f"card {n} of {len(pages)}" for n in range(1, len(pages) + 1)
    ]


def test_step_taller_than_a_card_runs_on_and_loses_no_word(ketch) -> None:
    words = [f"word{n}" for n in range(200)]
    pages = transfer_cards(ketch, an_order(ketch, count=1, see=" ".join(words)), "A5")
    assert len(pages) > 1
    shown = " ".join(t.text for page in pages for t in texts(page) if t.height == STEP).split()
    assert [w for w in shown if w.startswith("word")] == words


def test_wanted_position_is_marked_by_strokes(ketch) -> None:
    (page,) = transfer_cards(ketch, an_order(ketch, count=2), "A4")
    filled = [p for p in page.primitives if isinstance(p, Strokes) and p.fill == "black" and len(p.segments) == 4]
    assert len(filled) == 2  # one arrow head a step
    frames = [p for p in page.primitives if isinstance(p, Strokes) and p.fill is None and p.width == 0.9]
    assert len([p for p in frames if len(p.segments) == 5]) == 2
    # the arrow lies within its frame
    for arrow in map(path_box, filled):
        assert any(arrow.meets(path_box(frame)) for frame in frames)


# -- the command ----------------------------------------------------------------------------------------------------
def test_card_is_written_and_the_same_twice(run, own_folder: Path) -> None:
    told = "card", str(KETCH), "--from", "At anchor", "--to", "inverter BYPASSED", "--size", "a4"
    code, out, err = run(*told, "-o", "one.pdf")
    assert (code, err) == (0, "")
    assert "card" in out
    assert run(*told, "-o", "two.pdf")[0] == 0
    assert Path("one.pdf").read_bytes() == Path("two.pdf").read_bytes()


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--from", "Nowhere", "--to", "At anchor"), "no operating condition 'Nowhere'; there are: At anchor"),
        (("--from", "At anchor", "--to", "Alongside", "--keep", "Z99"), "nothing is called 'Z99'"),
        (("--from", "At anchor", "--to", "Alongside", "--size", "A3"), "A5, A4"),
        (("--from", "At anchor", "--to", "Alongside", "--budget", "none"), "'none' is not a whole number"),
        (("--from", "At anchor"), "--to"),
    ],
)
def test_what_is_not_there_is_told_in_one_line(run, own_folder: Path, more: tuple[str, ...], words: str) -> None:
    code, out, err = run("card", str(KETCH), *more, "-o", "card.pdf")
    assert (code, out) == (2, "")
    assert words in err
    assert len(err.strip().splitlines()) == 1
    assert not Path("card.pdf").exists()
