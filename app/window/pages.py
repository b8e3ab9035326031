"""The side pages, one at a time. Each is made when first shown."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QStackedWidget, QWidget

from app.canvas.remarks import end_writing
from engine.words import _

if TYPE_CHECKING:
    from app.window.comfort.history import HistoryPage
    from app.window.comfort.preferences import Preferences
    from app.window.deficiencies.page import DeficienciesPage
    from app.window.figures.page import ConditionsPage
    from app.window.handover.page import HandoverPage
    from app.window.help.page import RulesPage
    from app.window.kinds_list import KindsList
    from app.window.main import Window
    from app.window.missing.page import FactsPage
    from app.window.notes.page import NotesPage
    from app.window.particulars.page import Particulars
    from app.window.readings.page import ReadingsPage
    from app.window.sheets_page import SheetsPage
    from app.window.sizing.page import SizesPage
    from app.window.surveys.page import SurveysPage
    from app.window.switching.page import SwitchingPage
    from app.window.table.page import TablePage
    from app.window.templates.page import TemplatesPage
    from app.window.titling.page import TitlingPage
    from app.window.titling.revisions import RevisionsPage
    from app.window.walk.page import WalkPage
    from app.window.why.page import WhyPage
    from engine.phrases import Proposal

__all__ = ["Pages"]


class Pages(QStackedWidget):
    """What stands beside the sheet."""

    def __init__(self, window: Window) -> None:
        super().__init__()
        self.setObjectName("pages")
        self.setAccessibleName(_("Side page"))
        self.setMinimumWidth(260)
        self.window_of = window
        self.shown = ""
        self._made: dict[str, QWidget] = {}
        self.hide()

    def show_page(self, name: str) -> None:
        """Show one of the pages, or none for ""."""
        self.shown = name
        if not name:
            self.hide()
            return
        self.setCurrentWidget(self._page(name))
        self.show()

    @staticmethod
    def has(name: str) -> bool:
        """Whether there is a page called so."""
        return bool(name) and hasattr(Pages, f"_make_{name}")

    def take_focus(self) -> None:
        """Give the focus to the page shown."""
        page = self._made.get(self.shown)
        if page is None:
            return
        begin = getattr(page, "begin", None)
        if begin is not None:
            begin()
            return
        page.setFocus(Qt.FocusReason.TabFocusReason)
        if not page.hasFocus() and not page.isAncestorOf(self.window_of.focusWidget()):
            page.focusNextChild()

    def wear_inks(self) -> None:
        """The sheet on the screen has other inks: pictures like it are painted anew."""
        for page in self._made.values():
            wear = getattr(page, "wear_inks", None)
            if wear is not None:
                wear()

    def take_values_from(self) -> None:
        """Where values come from that are entered among the facts to read is another."""
        page = self._made.get("missing")
        if page is not None:
            page.set_values_from(self.window_of.desk.settings.get("values_from"))  # type: ignore[attr-defined]

    def settle(self) -> str:
        """Before saving and leaving: what is half typed is given. Sentences about what could not be taken, else ""."""
        end_writing(self.window_of.board)
        told = []
        for page in self._made.values():
            settle = getattr(page, "settle", None)
            if settle is not None:
                told.append(settle())
        return " ".join(each for each in told if each)

    def _page(self, name: str) -> Any:
        if name not in self._made:
            page = getattr(self, f"_make_{name}")()
            self._made[name] = page
            self.addWidget(page)
        return self._made[name]

    # -- each page ------------------------------------------------------------------------------------------------
    def particulars(self) -> Particulars:
        """The page of particulars."""
        return self._page("particulars")

    def kinds_list(self) -> KindsList:
        """The list of equipment to place."""
        return self._page("kinds")

    def templates(self) -> TemplatesPage:
        """The page of templates."""
        return self._page("templates")

    def conditions(self) -> ConditionsPage:
        """The page of operating conditions."""
        return self._page("conditions")

    def notes(self) -> NotesPage:
        """The page of notes."""
        return self._page("notes")

    def sizes(self) -> SizesPage:
        """The page of sizes."""
        return self._page("sizes")

    def missing(self) -> FactsPage:
        """The page of facts to read."""
        return self._page("missing")

    def why(self) -> WhyPage:
        """The page that tells why nothing is said."""
        return self._page("why")

    def switching(self) -> SwitchingPage:
        """The page of failures and switching."""
        return self._page("switching")

    def rules(self) -> RulesPage:
        """The page of rules."""
        return self._page("rules")

    def table(self) -> TablePage:
        """The table."""
        return self._page("table")

    def handover(self) -> HandoverPage:
        """The page of what is handed over."""
        return self._page("handover")

    def preferences(self) -> Preferences:
        """The page of preferences."""
        return self._page("preferences")

    def history(self) -> HistoryPage:
        """The page of what was done."""
        return self._page("history")

    def titling(self) -> TitlingPage:
        """The page of the title block."""
        return self._page("titling")

    def revisions(self) -> RevisionsPage:
        """The page of revisions."""
        return self._page("revisions")

    def sheets(self) -> SheetsPage:
        """The list of sheets."""
        return self._page("sheets")

    def deficiencies(self) -> DeficienciesPage:
        """The page of deficiencies."""
        return self._page("deficiencies")

    def walk(self) -> WalkPage:
        """The page of the walk aboard."""
        return self._page("walk")

    def _make_walk(self) -> QWidget:
        from app.window.walk.page import WalkPage

        page = WalkPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.board.reveal)
        return page

    def surveys(self) -> SurveysPage:
        """The page of surveys."""
        return self._page("surveys")

    def _make_surveys(self) -> QWidget:
        from app.window.surveys.making import surveys_page

        return surveys_page(self.window_of)

    def readings(self) -> ReadingsPage:
        """The page of measured values."""
        return self._page("readings")

    def _make_readings(self) -> QWidget:
        from app.window.readings.page import ReadingsPage

        page = ReadingsPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.board.reveal)
        page.record_wanted.connect(self.window_of.show_record)
        return page

    def _make_deficiencies(self) -> QWidget:
        from app.window.deficiencies.making import deficiencies_page

        return deficiencies_page(self.window_of)

    def _make_tracing(self) -> QWidget:
        from app.window.tracing.making import tracing_page

        return tracing_page(self.window_of)

    def _make_titling(self) -> QWidget:
        from app.window.titling.making import titling_page

        return titling_page(self.window_of)

    def _make_revisions(self) -> QWidget:
        from app.window.titling.making import revisions_page

        return revisions_page(self.window_of)

    def _make_sheets(self) -> QWidget:
        from app.window.titling.making import sheets_page

        return sheets_page(self.window_of)

    def _make_particulars(self) -> QWidget:
        from app.window.particulars.page import Particulars

        page = Particulars(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.wanted.connect(self.window_of.show_record)
        page.noted.connect(self.window_of.show_finding)
        return page

    def _make_kinds(self) -> QWidget:
        from app.window.kinds_list import KindsList

        page = KindsList()
        self.window_of.document.changed.connect(page.look_again)
        page.set_recent(tuple(k for k in self.window_of.desk.settings.get("kinds_used") if isinstance(k, str)))
        page.chosen.connect(self.window_of.place_kind)
        page.drawing = self.window_of.document.snapshot
        page.proposed.connect(self._proposed)
        return page

    def _proposed(self, proposal: Proposal) -> None:
        """Go on to placing what was typed with its values, or a template."""
        from app.window.quick.fast import fast_of

        document = self.window_of.document
        why = _("The drawing is open to read only: {why}").format(why=document.read_only) if document.read_only else ""
        if not why and not document.sheet:
            why = _("There is no sheet to place it on; add one first.")
        why = why or fast_of(self.window_of.board).take_in_hand(proposal)
        if why:
            self.window_of.foot.refuse(why)

    def typed_from(self) -> str:
        """Where values that are typed come from, as the page of particulars has it."""
        page = self._made.get("particulars")
        return "typed" if page is None else str(getattr(page, "typed_from", "typed"))

    def _make_templates(self) -> QWidget:
        from app.window.templates.page import TemplatesPage

        page = TemplatesPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.click_wanted.connect(self.window_of.set_template)
        page.placed.connect(self.window_of.show_template)
        return page

    def _make_conditions(self) -> QWidget:
        from app.window.figures.page import ConditionsPage

        page = ConditionsPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.reveal)
        page.field_wanted.connect(self.window_of.show_field)
        page.record_wanted.connect(self.window_of.show_record)
        return page

    def _make_notes(self) -> QWidget:
        from app.window.notes.page import NotesPage

        page = NotesPage(self.window_of.document)
        page.reveal.connect(self.window_of.show_finding)
        page.field_wanted.connect(self.window_of.show_field)
        page.back.connect(self.window_of.go_back)
        page.rule_wanted.connect(self._show_rule)
        page.size_wanted.connect(self.window_of.size)
        page.refused.connect(self.window_of.foot.refuse)
        page.state_wanted.connect(self.window_of.stating.show_witness)
        return page

    def _make_sizes(self) -> QWidget:
        from app.window.sizing.page import SizesPage

        page = SizesPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.reveal)
        return page

    def _make_missing(self) -> QWidget:
        from app.window.missing.page import FactsPage

        page = FactsPage(self.window_of.document)
        page.set_values_from(self.window_of.desk.settings.get("values_from"))
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.reveal)
        page.record_wanted.connect(self.window_of.show_record)
        return page

    def _make_why(self) -> QWidget:
        from app.window.why.page import WhyPage

        page = WhyPage(self.window_of.document)
        page.rule_wanted.connect(self._show_rule)
        return page

    def _make_switching(self) -> QWidget:
        from app.window.printing import write_paper
        from app.window.switching.page import SwitchingPage

        page = SwitchingPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.reveal)
        page.paper_wanted.connect(partial(write_paper, self.window_of))
        return page

    def _make_rules(self) -> QWidget:
        from app.window.help.page import RulesPage

        page = RulesPage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        return page

    def _show_rule(self, slug: str) -> None:
        from app.window.help.opening import show_rule

        show_rule(self.window_of, slug)

    def _make_handover(self) -> QWidget:
        from app.window.handover.page import HandoverPage

        page = HandoverPage(self.window_of.document, self.window_of.middle)
        page.refused.connect(self.window_of.foot.refuse)
        page.noted.connect(self.window_of.foot.say)
        page.settles = self.settle
        return page

    def _make_preferences(self) -> QWidget:
        from app.window.comfort.preferences import Preferences

        return Preferences(self.window_of)

    def _make_history(self) -> QWidget:
        from app.window.comfort.history import HistoryPage

        page = HistoryPage(self.window_of.document)
        page.noted.connect(self.window_of.foot.say)
        page.refused.connect(self.window_of.foot.refuse)
        return page

    def _make_seeking(self) -> QWidget:
        from app.canvas.tools.at_pointer import choose_items
        from app.window.seeking.page import SeekingPage

        window = self.window_of
        page = SeekingPage(window.document)
        page.begun.connect(window.going.remember)
        page.shown.connect(partial(choose_items, window.board))
        page.chosen.connect(partial(choose_items, window.board))
        page.gone_to.connect(window.board.setFocus)
        return page

    def _make_numbering(self) -> QWidget:
        from app.window.numbering.page import NumberingPage

        return NumberingPage(self.window_of)

    def _make_swapping(self) -> QWidget:
        from app.window.swapping.page import SwappingPage

        return SwappingPage(self.window_of)

    def _make_merging(self) -> QWidget:
        from app.window.merging.page import MergingPage

        return MergingPage(self.window_of)

    def _make_comparing(self) -> QWidget:
        from app.window.comparing.page import ComparingPage

        return ComparingPage(self.window_of)

    def _make_table(self) -> QWidget:
        from app.window.table.page import TablePage

        page = TablePage(self.window_of.document)
        page.refused.connect(self.window_of.foot.refuse)
        page.reveal.connect(self.window_of.reveal)
        return page
