"""What reads bytes that somebody else made, each as one call that must end quietly whatever the bytes are.

A target raises nothing for bytes that are refused in words; whatever comes out of it is a fault of the program.
"""

from __future__ import annotations

import contextlib
import io
import sys
import tempfile
import unicodedata
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

from engine.books import BookError
from engine.books import load_file as load_book
from engine.builder import Builder
from engine.check import check
from engine.edits import EditError, Put, apply
from engine.files import frames
from engine.files.drawing import FileError, dump, read_bytes
from engine.files.lists import csv_bytes, csv_text_rows, read_lists, write_lists
from engine.files.recovery import left_behind
from engine.installation import Installation, Snapshot
from engine.phrases import joined_phrases, place_phrases, record_with, run_phrases, set_phrases, template_phrases
from engine.units import UNITS, UnitError, show
from engine.units import read as read_quantity

__all__ = ["HERE", "SEEDS", "TARGETS", "drawing", "drawings", "judged", "pictured"]

HERE = Path(__file__).parent
_TOP = HERE.parents[2]
_MOST_LETTERS = 200  # of a line that is typed
_SYMBOL = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="-6 -10 12 20" width="12mm" height="20mm" data-kind="fuse">'


def _require(what: bool, why: str) -> None:
    if not what:
        raise AssertionError(why)


def _told(text: str) -> None:
    """What is said to a person: something, never without end, and nothing that a terminal would obey."""
    _require(0 < len(text) < 20_000, f"told in {len(text)} letters")
    odd = [sign for sign in text if unicodedata.category(sign) in ("Cc", "Cs") and sign != "\n"]
    _require(not odd, f"told with {odd[:3]}: {text[:300]!r}")


# -- drawings ---------------------------------------------------------------------------------------------------------
def drawing(data: bytes) -> Installation | None:
    """Read it; what opened and may be written is written, and that is read as the same. `None` where it is refused."""
    try:
        opened = read_bytes(data, "fuzz.linewright")
    except FileError as fault:
        _told(str(fault))
        return None
    if not opened.read_only:
        made = dump(opened.installation)
        again = read_bytes(made, "fuzz.linewright")
        _require(not again.read_only and dump(again.installation) == made, "written again it is another drawing")
    return opened.installation


def judged(installation: Installation) -> None:
    """Every rule judges it, or there is no such book."""
    with contextlib.suppress(BookError):
        result = check(installation.snapshot())
        _require(result.stopped == (), f"stopped: {result.stopped}")


def pictured(installation: Installation) -> None:
    """Every sheet of it is drawn."""
    from app.drawing.sheets import pictures

    pictures(installation.snapshot())


def _drawing(data: bytes) -> None:
    installation = drawing(data)
    if installation is not None:
        judged(installation)
        pictured(installation)


# -- what else comes in -----------------------------------------------------------------------------------------------
def _list(data: bytes) -> None:
    """One CSV file as each list that a boat has beside its equipment."""
    given = csv_text_rows(data, "fuzz.csv")
    others = {name: csv_text_rows(text, f"{name}.csv") for name, text in _lists().items() if name != "equipment"}
    base = csv_text_rows(_lists()["equipment"], "equipment.csv")
    for result in (read_lists(given, **others), *(read_lists(base, **{name: given}) for name in others)):
        for fault in result.faults:
            _told(str(fault))
        made = dump(result.installation())
        _require(dump(read_bytes(made).installation) == made, "written again it is another drawing")


def _workbook(data: bytes) -> None:
    from app.workbook import workbook_lists

    with _file("fuzz.xlsx", data) as file:
        try:
            sheets = workbook_lists(file)
        except FileError as fault:
            _told(str(fault))
            return
    for sheet in sheets[:4]:
        dump(read_lists(sheet).installation())


def _journal(data: bytes) -> None:
    with _file("20260101-000000-abc.journal", data) as file:
        for left in left_behind(file.parent):
            try:
                if left.why:
                    _told(left.why)
                    continue
                recovered = left.recover().installation
                if not recovered.read_only:
                    made = dump(recovered)
                    _require(dump(read_bytes(made).installation) == made, "recovered, it cannot be opened again")
            finally:
                left.close()


def _payload(data: bytes) -> None:
    """The bytes as an edit in a journal whose check sums are right: what is before it comes back."""
    whole = SEEDS["journal"]()[0]
    _journal(whole + frames.frame(frames.EDIT, 2, data))


def _book(data: bytes) -> None:
    with _file("fuzz.toml", data) as file:
        try:
            load_book(file)
        except BookError as fault:
            _told(str(fault))
            return
        result = check(read_bytes(drawings()[0]).installation.snapshot(), str(file))
    _require(result.stopped == (), f"stopped: {result.stopped}")


def _symbol(data: bytes) -> None:
    """The bytes as an SVG by itself, and as a symbol in TOML."""
    from symbols.own import read_folder

    for name in ("fuzz.svg", "fuzz.toml"):
        with _file(name, data) as file:
            found, faults = read_folder(file.parent)
        _require(len(found) + len(faults) == 1, f"{name}: neither read nor told")
        for fault in faults:
            _told(fault.why)


def _phrase(data: bytes) -> None:
    """A line that is typed, wherever one can be."""
    text = data.decode("utf-8", "replace")[:_MOST_LETTERS]
    boat = _boat()
    chosen = (*boat.equipment, *boat.runs)[:3]
    joined_phrases(text, boat)  # that no kind is meant is told by the line, which knows what else could be
    for read in (run_phrases(text, boat), set_phrases(text, boat, chosen)):
        says = text.strip().strip(",; \t\n")  # separators alone are an empty line
        _require(bool(read.proposals or read.why or not says), f"neither understood nor told: {text!r}")
        if read.why:
            _told(read.why)
    for proposal in place_phrases(text, boat).proposals:
        _told(proposal.told)
        try:
            record = record_with(proposal.kind, proposal.given, "", boat)
        except EditError as fault:
            _told(str(fault))
            continue
        made = read_bytes(drawings()[0]).installation
        apply(made, Put("equipment", "e99999", record))  # what is proposed can be done
        dump(made)
    template_phrases(text)


def _quantity(data: bytes) -> None:
    text = data.decode("utf-8", "replace")[:_MOST_LETTERS]
    for unit in UNITS:
        with contextlib.suppress(UnitError):
            value = read_quantity(text, unit)
            _require(value - value == 0, f"{value} {unit}")
            show(value, unit)


TARGETS: dict[str, Callable[[bytes], object]] = {
    "drawing": _drawing,
    "list": _list,
    "workbook": _workbook,
    "journal": _journal,
    "edit": _payload,
    "book": _book,
    "symbol": _symbol,
    "phrase": _phrase,
    "quantity": _quantity,
}


# -- what they begin with ---------------------------------------------------------------------------------------------
@cache
def drawings() -> tuple[bytes, ...]:
    """The smallest first: drawings of the corpus, then the samples."""
    return (
        *sorted(_corpus(), key=len),
        *sorted((p.read_bytes() for p in _TOP.glob("samples/*/*.linewright")), key=len),
    )


def _corpus() -> list[bytes]:
    beside = str(_TOP / "tests/engine/corpus")
    if beside not in sys.path:  # pytest has it there
        sys.path.append(beside)
    from catalogue import CORPUS

    return [dump(correct.build()) for correct in CORPUS]


@cache
def _boat() -> Snapshot:
    b = Builder(name="Dunlin")
    b.place("Engine room", "machinery", 50)
    b.add("battery_bank", "G1", unit_v=24)
    b.add("fuse", "F1", rating_a=5)
    return b.installation.snapshot()


@cache
def _lists() -> dict[str, bytes]:
    boat = read_bytes(drawings()[0]).installation.snapshot()
    return {name.removesuffix(".csv"): csv_bytes(rows) for name, rows in write_lists(boat).items()}


def _journals() -> tuple[bytes, ...]:
    from engine.files.migrations import CURRENT
    from engine.version import version

    head = b'{"program":"%s","format":1,"drawing_format":%d,"name":"Dunlin","edits":0,"words":[]}'
    edit = b'{"last_id":900,"words":"Add","puts":[["places","p900",{"name":"forepeak"}]]}'
    return (
        frames.MARK
        + frames.frame(frames.HEADER, 0, head % (version().encode(), CURRENT))
        + frames.frame(frames.SNAPSHOT, 0, drawings()[0])
        + frames.frame(frames.EDIT, 1, edit),
    )


def _workbooks() -> tuple[bytes, ...]:
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in write_lists(read_bytes(drawings()[0]).installation.snapshot()).items():
        sheet = book.create_sheet(name.removesuffix(".csv"))
        for row in rows:
            sheet.append(list(row))
    whole, stored = io.BytesIO(), io.BytesIO()
    book.save(whole)
    with zipfile.ZipFile(whole) as packed, zipfile.ZipFile(stored, "w") as plain:  # plain, so that bytes are text
        for member in packed.namelist():
            plain.writestr(member, packed.read(member))
    return whole.getvalue(), stored.getvalue()


SEEDS: dict[str, Callable[[], tuple[bytes, ...]]] = {
    "drawing": drawings,
    "list": lambda: tuple(_lists().values()),
    "workbook": cache(_workbooks),
    "journal": cache(_journals),
    "edit": lambda: (
        b'{"last_id":901,"words":"Add","puts":[["places","p901",{"name":"bilge"}],["equipment","e1",null]]}',
        b'{"last_id":902,"words":"Set","puts":[["equipment","e902",{"kind":"fuse","designation":"F9","rating_a":5}]]}',
    ),
    "book": lambda: (
        b'base = "trade-na"\ntitle = "Practice of the yard"\nedition = "3"\n\n[rules.far-from-source]\n'
        b'bare = { value = 0.1, text = "100 mm", source = "yard standard 12", confirmed = true }\n',
        b'base = "us-33cfr183"\ntitle = "Yard"\nedition = "1"\n[rules.overloaded]\nword = "warning"\n',
    ),
    "symbol": lambda: (
        f'{_SYMBOL}<path d="M0 -10 L0 10"/><rect x="-2" y="-5" width="4" height="10"/></svg>'.encode(),
        f'{_SYMBOL}<g transform="rotate(5)"><circle cx="0" cy="0" r="3" stroke="#000"/></g></svg>'.encode(),
        *(path.read_bytes() for path in sorted((_TOP / "symbols/shore").glob("*.toml"))),
    ),
    "phrase": lambda: tuple(
        text.encode()
        for text in (
            "class t 300; 2/0 3 m",
            "2s4p agm 100 ah in engine room",
            "rcd 30 ma type a 16a",
            "nh 0.25 kA ~measured",
            "windlass 1500 w",
            "breaking=10 kA 35 mm2 3,5 m tinned",
        )
    ),
    "quantity": lambda: tuple(
        text.encode() for text in ("0.25 kA", "3 ft 4 1/2 in", "-5 °F", "1e3 mm", "2/0", "230 V AC", "10.000,5 W")
    ),
}


@contextlib.contextmanager
def _file(name: str, data: bytes):  # type: ignore[no-untyped-def]
    with tempfile.TemporaryDirectory(prefix="fuzz-") as folder:
        file = Path(folder, name)
        file.write_bytes(data)
        yield file
