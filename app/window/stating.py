"""A state that no condition stores, shown on the sheet: the banner that says which, the ways out of it, keeping it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from app.drawing.in_condition import positions_shown, running_in
from app.window.ask import ask_line
from engine.edits import Edit, Put
from engine.findings import Finding
from engine.installation import Condition
from engine.installation.model import Snapshot
from engine.installation.records import Setting
from engine.naming import capital
from engine.words import _

if TYPE_CHECKING:
    from app.window.document import Document
    from app.window.main import Window

__all__ = ["Stating", "condition_of", "keep_state"]

_KEY, _OFFER = "state", "witness"
_LONGEST = 60  # letters of a condition's name


class Stating(QObject):
    """Keeps the banner in step with the state that is shown."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self._window = window
        self._told = ""
        window.document.conditioned.connect(self._tell)

    def _tell(self) -> None:
        window = self._window
        state = window.document.state
        text = ""
        if state is not None:
            text = _("Shown is a state that is not stored: {title}. The drawing stays as it is; Esc leaves it.")
            text = text.format(title=state.title.rstrip("."))
        if text != self._told:
            self._told = text
            if state is None:
                window.banner.drop(_KEY)
            else:
                keep = () if window.document.read_only else ((_("Keep as a condition…"), self._keep),)
                leave = (_("Leave this state"), window.document.end_state)
                window.banner.tell(_KEY, text, *keep, leave, closable=False)
            window.foot.say(text or _("The sheet shows the condition again."))
        window.menus.refresh()

    def _keep(self) -> None:
        keep_state(self._window)

    # -- the state of a finding -----------------------------------------------------------------------------------
    def finding_at_hand(self) -> Finding | None:
        """The finding one is in on the page of notes, or the one whose note is marked on the sheet."""
        from app.window.notes.whole import finding_of

        window = self._window
        judgement = window.document.judgement
        if judgement is None:
            return None
        page = window.pages.notes() if window.page == "notes" else None
        key = next((k for k, n in judgement.numbers.items() if n == window.board.note), "")
        if page is not None and (not key or page.isAncestorOf(window.focusWidget())):
            key = page.current_key()
        return finding_of(judgement, key) if key else None

    def offer(self, key: str) -> None:
        """A note on the sheet was clicked: offer the state it speaks of."""
        from app.window.notes.whole import finding_of

        window = self._window
        finding = finding_of(window.document.judgement, key)
        if finding is None or not finding.positions or window.document.state is not None:
            window.banner.drop(_OFFER)
            return
        text = _("{note} is true in a state of the switches: {when}.")
        text = text.format(note=capital(_named(window.document, finding)), when=_when(window.document, finding))
        window.banner.tell(_OFFER, text, (_("Show me"), partial(self.show_witness, key)))

    def show_witness(self, key: str) -> bool:
        """Show the sheet in the state in which a finding is true; whether there is such a state."""
        from app.window.notes.whole import finding_of
        from engine.circuit.switching.completing import completed

        window, document = self._window, self._window.document
        window.banner.drop(_OFFER)
        finding = finding_of(document.judgement, key)
        if finding is None or not finding.positions:
            return False
        title = _("{note}, {when}").format(note=_named(document, finding), when=_when(document, finding))
        document.end_state()
        snapshot = document.snapshot()
        standing = positions_shown(snapshot, _condition_named(snapshot, finding) or document.condition)
        state = completed(snapshot, dict(finding.positions), standing)
        if state is None:
            window.foot.refuse(_("The interlocks of the drawing as it is now allow no state with these positions."))
            return False
        document.show_state(state, title, marks=finding.ids)
        window.show_finding(key)
        return True


def _named(document: Document, finding: Finding) -> str:
    number = 0 if document.judgement is None else document.judgement.numbers.get(finding.key, 0)
    return _("note {n}").format(n=number) if number else finding.rule


def _condition_named(snapshot: Snapshot, finding: Finding) -> str:
    """The operating condition whose name the finding's words begin with, "" where it is none."""
    named = [
        (len(c.name), item)
        for item, c in snapshot.conditions.items()
        if c.name and (finding.condition == c.name or finding.condition.startswith((f"{c.name}:", f"{c.name},")))
    ]
    return max(named)[1] if named else ""


def _when(document: Document, finding: Finding) -> str:
    """The positions in words, with the condition where the finding names one."""
    snapshot = document.snapshot()
    return finding.condition or ", ".join(f"{snapshot.name(e)} {_(p)}" for e, p in finding.positions)


# -- keeping it -------------------------------------------------------------------------------------------------------
def keep_state(window: Window) -> None:
    """Make what is shown an operating condition of its own; its name is asked."""
    document = window.document
    snapshot = document.snapshot()
    proposed = _free_name(snapshot, "" if document.state is None else document.state.title)
    name = ask_line(window, _("Keep as a condition"), _("Name of the operating condition:"), proposed)
    if not name:
        return
    if any(c.name == name for c in snapshot.conditions.values()):
        window.foot.refuse(_("There is an operating condition “{name}” already.").format(name=name))
        return
    record = condition_of(
        snapshot,
        name,
        document.standing(),
        running_in(snapshot, document.condition, None if document.state is None else document.state.state),
        document.condition,
    )
    item = document.installation.new_id("conditions")
    edit: Edit = Put("conditions", item, record, _("Keep the condition {name}").format(name=name))
    if window.try_edit(edit):
        document.set_condition(item)


def _free_name(snapshot: Snapshot, title: str) -> str:
    """A name that no condition has."""
    taken = {c.name for c in snapshot.conditions.values()}
    name = title[:1].upper() + title[1:_LONGEST].rstrip()
    if name and name not in taken:
        return name
    number = len(taken) + 1
    while (name := _("Condition {n}").format(n=number)) in taken:
        number += 1
    return name


def condition_of(
    snapshot: Snapshot, name: str, standing: dict[str, str], running: tuple[str, ...] | None, like: str
) -> Condition:
    """A condition with these positions and sources; its loads are those of the condition `like`, if there is one.

    Sources that are not told (`running` is `None`) are left unrecorded.
    """
    drawn = {item: record.drawn_position() for item, record in snapshot.equipment.items() if record.positions()}
    settings = tuple(
        Setting(equipment=item, position=position)
        for item, position in standing.items()
        if item in drawn and drawn[item] != position
    )
    shown = snapshot.conditions.get(like)
    order = max((c.order for c in snapshot.conditions.values()), default=0) + 1
    duties = () if shown is None else shown.duties
    return Condition(name=name, order=order, settings=settings, running=running or (), duties=duties)
