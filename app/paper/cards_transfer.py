"""The card *transfer and bypass*: from one operating condition to another, step by step, as a PDF to be hung up."""

from __future__ import annotations

from pathlib import Path

from app.figures.order_report import called, condition_name, deed, where
from app.paper.cards import Cards, Drawn, Head
from app.paper.cards_positions import positions_picture
from app.paper.pdf import Written, write_pictures
from engine.circuit.switching.results import Order, Step
from engine.installation.model import Snapshot
from engine.picture import Picture
from engine.words import _

__all__ = ["about", "transfer_cards", "write_transfer_cards"]


def write_transfer_cards(snapshot: Snapshot, order: Order, path: Path | str, *, size: str = "A5") -> Written:
    """Write the cards of an order that was found. Raises `OSError` from the disk."""
    block = snapshot.title_block
    return write_pictures(
        transfer_cards(snapshot, order, size),
        path,
        title=_title(snapshot, order),
        author=block.creator,
        language=block.language,
    )


def transfer_cards(snapshot: Snapshot, order: Order, size: str = "A5") -> tuple[Picture, ...]:
    """The cards of an order that was found."""
    cards = Cards(size, Head(snapshot.vessel.name, _title(snapshot, order), about(snapshot)))
    for number, step in enumerate(order.steps, 1):
        cards.step(f"{number}.", _lines(snapshot, step), _picture(snapshot, step))
    if not order.steps:
        cards.note(_("Nothing is to be done: everything stands as it should already."))
    else:
        cards.note(_("Each step only when the one before has been seen to be done."), bold=True)
    if order.kept:
        cards.note(_("Fed all the time: {loads}.").format(loads=_names(snapshot, order.kept)))
    if order.dark:
        cards.note(_("Without supply for part of it: {loads}.").format(loads=_names(snapshot, order.dark)))
    for text in order.taken:
        cards.note(_("Supposed: {what}.").format(what=text))
    return cards.finished()


def about(snapshot: Snapshot) -> str:
    """Drawing, revision and date, as far as the title block says."""
    block = snapshot.title_block
    parts = [
        _("drawing {number}").format(number=block.number) if block.number else "",
        _("revision {revision}").format(revision=block.revision) if block.revision else "",
        block.date,
    ]
    return ", ".join(part for part in parts if part)


def _title(snapshot: Snapshot, order: Order) -> str:
    return _("From “{start}” to “{stop}”").format(
        start=condition_name(snapshot, order.start), stop=condition_name(snapshot, order.stop)
    )


def _names(snapshot: Snapshot, items: tuple[str, ...]) -> str:
    return ", ".join(snapshot.equipment[item].label or snapshot.name(item) for item in items)


def _lines(snapshot: Snapshot, step: Step) -> list[tuple[str, bool]]:
    record = snapshot.equipment[step.item]
    name = called(snapshot, step.item)
    if not record.marking.strip() and record.label:
        name = f"{name} {record.label}"
    lines = [(f"{name}: {deed(snapshot, step)}", True), (where(snapshot, step.item), False)]
    if step.why:
        lines.append((step.why, False))
    lines += [(_("See: {what}").format(what=text), False) for text in step.see]
    return lines


def _picture(snapshot: Snapshot, step: Step) -> Drawn:
    record = snapshot.equipment[step.item]
    if step.kind == "switch":
        return positions_picture(record.positions(), step.after)
    return positions_picture((step.before, step.after), step.after, is_plug=record.ashore() is not None)
