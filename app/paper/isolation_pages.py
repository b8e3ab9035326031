"""How something is made dead, on paper: steps to tick off in their order, where to lock, how to prove it dead. A4."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from app.figures.isolation_report import before, cut_off, locks, proofs, remains, short_deed, subject
from app.figures.order_report import called, what, where
from app.paper.instructions import TOLD, Instructions
from app.paper.pdf import Written, write_pictures
from engine.circuit.switching.results import Isolation
from engine.picture import Picture
from engine.study import Study
from engine.words import _

__all__ = ["isolation_pictures", "write_isolations"]


def write_isolations(study: Study, answers: Sequence[Isolation], path: Path | str) -> Written:
    """Write the pages. Raises `OSError`."""
    pictures = [picture for told in answers for picture in isolation_pictures(study, told)]
    title = _("To make {name} dead").format(name=study.name(answers[0].item))
    block = study.snapshot.title_block
    return write_pictures(pictures, path, title=title, author=block.creator or "Linewright", language=block.language)


def isolation_pictures(study: Study, told: Isolation) -> tuple[Picture, ...]:
    """The pages of one item."""
    snapshot = study.snapshot
    vessel = snapshot.vessel.name
    title = _("To make {name} dead").format(name=subject(study, told.item))
    page = Instructions(title, f"{vessel}: {title}" if vessel else title)
    page.text(before(study, told))
    stays = remains(study, told)
    if stays:
        page.warning(stays, 5.0)
    for number, step in enumerate(told.steps, 1):
        about = "; ".join(text for text in (what(snapshot, step.item), where(snapshot, step.item)) if text)
        sources = _("Cuts off {sources}.").format(sources=cut_off(study, step)) if step.sources else ""
        why = step.why[:1].upper() + step.why[1:] + "." if step.why else ""
        deed = f"{called(snapshot, step.item)}: {short_deed(step)}"
        page.step(f"{number}.", deed, (about, sources, why))
    held = list(locks(study, told))
    if held:
        page.heading(_("Lock off"))
        for text in held:
            page.step("", text, tall=TOLD)
    page.heading(_("Prove dead"))
    for text in proofs(study, told):
        page.step("", text, tall=TOLD)
    if told.notes or told.missing:
        page.heading(_("To know"))
        for text in told.notes:
            page.text(text)
        if told.missing:
            page.text(_("Not recorded: {fields}.").format(fields=", ".join(told.missing)))
    page.heading(_("Who did it"))
    for caption in (_("Made and proved dead by, date, time"), _("Put back by, date, time")):
        page.blank(caption)
    page.cautions()
    return page.finished()
