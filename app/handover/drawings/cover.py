"""The cover of the drawing set: what the drawing is, what is in the set, by which book it was judged, what that left.

Particulars, contents, revisions, the book and whom it binds, counts, waived dangers, the gravest of what was not
judged, the legend; on a second page and more where that is too much for one. Everything it says is told in full
elsewhere too where it is only counted here, and says where.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from app.drawing.frame import frame
from app.drawing.placed import Scene, paper
from app.drawing.sheets import sheet_fields
from app.drawing.whole.voltage_systems import systems_words, unlike_systems
from app.handover.drawings.columns import Item, columns_of, framed, heading, paragraph, row, set_items
from app.handover.drawings.legend import lines_and_signs, set_entries, symbols_used
from app.text_report import WORD_NAMES
from engine.check import CheckResult
from engine.findings import WORDS, NotJudged
from engine.installation import Snapshot
from engine.judged_by import head, no_clause_note
from engine.meaning import Meaning
from engine.naming import capital, natural
from engine.picture import Box, Picture, Primitive, Text, cut_text, line
from engine.rules import rules
from engine.tracing.told import resting_lines
from engine.units import show
from engine.words import _, ngettext

__all__ = ["Cover"]

_NAME, _TITLE, _UNDER = 7.0, 5.0, 3.5  # heights of a capital in the band at the top
_BAND = 29.0  # of the band, mm
_FIRST = 36.0  # column of the words before particulars
_NUMBER = 14.0  # column of sheet numbers


class Cover:
    """The pages before the sheets. `index`: the revision that clouds show, `None` where nothing is clouded."""

    def __init__(
        self, snapshot: Snapshot, result: CheckResult | None, size: str, index: str | None = None, *, only: bool = False
    ) -> None:
        self.snapshot, self.result, self.size, self.index = snapshot, result, size, index
        self.only = only  # whether there is nothing else
        self._legend: list[Item] | None = None

    def pages(self, scene: Scene, sheets: int) -> list[Picture]:
        """The pages, before a set of so many sheets, pages of notes among them."""
        count = len(self._set(scene, 1, sheets))
        made = []
        for n, primitives in enumerate(self._set(scene, count, sheets), 1):
            fields = sheet_fields(scene, self.result, self._title(n), 1, sheets)._replace(sheet=_name(n))
            page = frame(self.size, fields, margin=False)
            anchors = (("cover", 0.0, 0.0),) if n == 1 else ()
            every, meaning = (*page.primitives, *primitives), Meaning(len(page.primitives))
            title, section = self._title(n), _("Cover")
            made.append(Picture(page.width, page.height, every, title, anchors, section=section, meaning=meaning))
        return made

    @staticmethod
    def _title(n: int) -> str:
        return _("Cover and legend") if n == 1 else _("Cover and legend, continued")

    def _set(self, scene: Scene, count: int, sheets: int) -> list[list[Primitive]]:
        """What stands on every page. `count`: how many pages the contents say there are, which takes the same room."""
        bare = paper(self.size, margin=False)
        box = bare.drawing_box
        inner = Box(box.left + 2.0, box.top, box.right - 2.0, box.bottom)
        below = inner._replace(top=inner.top + _BAND)
        first, others = columns_of(below, bare.notes_box), columns_of(inner, bare.notes_box)
        wide = first[0].right - first[0].left
        items = [
            *self._particulars(scene, wide),
            *self._contents(scene, count, sheets, wide),
            *self._revisions(wide),
            *self._judgement(wide),
            *self._gaps(wide),
            *self._legend_items(scene, wide),
        ]
        pages = set_items(items, lambda n: others if n else first)
        pages[0] = [*_band(self.snapshot, inner), *pages[0]]
        return pages

    # -- what the drawing is ----------------------------------------------------------------------------------------
    def _particulars(self, scene: Scene, wide: float) -> list[Item]:
        vessel, block, units = self.snapshot.vessel, self.snapshot.title_block, self.snapshot.settings.units
        unknown = _("not recorded")
        length = "" if vessel.length_m is None else show(vessel.length_m, "m", units)
        coldest = "" if vessel.coldest_c is None else show(vessel.coldest_c, "degC", units)
        year = "" if vessel.build_year is None else str(vessel.build_year)
        always = (
            (_("Vessel"), vessel.name),
            (_("Hull identification"), vessel.hin),
            (_("Official number"), vessel.official_number),
            (_("Flag"), vessel.flag),
            (_("Use"), _(vessel.use) if vessel.use else ""),
            (_("Builder, year"), ", ".join(part for part in (vessel.builder, year) if part)),
            (_("Hull, length"), ", ".join(part for part in (_(vessel.hull) if vessel.hull else "", length) if part)),
            (_("Fuel of the engine"), _(vessel.engine_fuel) if vessel.engine_fuel else ""),
            (_("Coldest expected"), coldest),
            (_("Drawing"), ", ".join(part for part in (block.title, block.supplementary_title) if part)),
            (_("Number, revision"), self._with_revision()),
            (_("Date of issue"), block.date),
            (_("Status"), block.document_status),
            (_("Legal owner"), block.legal_owner),
            (_("Created by"), block.creator),
            (_("Approved by"), block.approver),
        )
        where_known = (
            (_("Systems of voltage"), systems_words(self.snapshot.settings)),
            (_("Department"), block.department),
            (_("Technical reference"), block.technical_reference),
            (_("Classification"), block.classification),
        )
        made = heading(_("Particulars"), wide)
        for name, value in always:
            made.extend(row(name, value or unknown, wide, _FIRST))
        for name, value in where_known:
            if value:
                made.extend(row(name, value, wide, _FIRST))
        for text in scene.remarks:
            made.extend(paragraph(text, wide, bold=True))
        for text in unlike_systems(self.snapshot):
            made.extend(paragraph(text, wide))
        return made

    def _with_revision(self) -> str:
        block = self.snapshot.title_block
        if not block.number and not block.revision:
            return ""
        return ", ".join(
            (
                block.number or _("no number"),
                _("revision {index}").format(index=block.revision) if block.revision else _("no revision"),
            )
        )

    def _contents(self, scene: Scene, count: int, sheets: int, wide: float) -> list[Item]:
        made = heading(_("Contents"), wide)
        names = _name(1) if count < 2 else f"{_name(1)} – {_name(count)}"
        made.extend(row(names, _("Cover and legend"), wide, _NUMBER, link="cover"))
        for item, sheet in scene.sheets:
            title = sheet.title or _("without a title")
            made.extend(row(str(scene.number[item]), title, wide, _NUMBER, link=f"sheet:{item}"))
        first = len(scene.sheets) + 1
        if sheets >= first:
            made.extend(row(_range(first, sheets), _("Notes, continued"), wide, _NUMBER, link="notes"))
        elif not self.only:
            made.extend(row("", _("Every note stands on its sheet."), wide, _NUMBER))
        return [*made, *framed(_("No sheet: nothing is drawn."), wide)] if self.only else made

    def _revisions(self, wide: float) -> list[Item]:
        made = heading(_("Revisions"), wide)
        every = sorted(self.snapshot.revisions.items(), key=lambda r: (r[1].date, natural(r[1].index), natural(r[0])))
        if not every:
            return [*made, *paragraph(_("No revision is recorded."), wide)]
        for _item, revision in every:
            issued = "" if revision.issued else _("not issued")
            told = [revision.date or _("without date"), revision.by or _("by nobody named"), issued]
            made.extend(row(revision.index, ", ".join(part for part in told if part), wide, _NUMBER, bold=True))
            made.extend(row("", revision.text or _("what changed is not recorded"), wide, _NUMBER))
        return made

    # -- what was judged --------------------------------------------------------------------------------------------
    def _judgement(self, wide: float) -> list[Item]:
        result = self.result
        made = heading(_("Judged by"), wide)
        if result is None:
            return [*made, *framed(_("Nobody has checked this drawing."), wide)]
        for text in (" ".join(head(result)), no_clause_note(result)):
            if text:
                made.extend(paragraph(text, wide))
        if result.assumptions:
            told = _("Assumptions taken: {assumptions}.").format(assumptions="; ".join(result.assumptions))
            made.extend(paragraph(told, wide))
        for text in resting_lines(result):
            made.extend(paragraph(text, wide))
        for fault in result.disabled:
            made.extend(paragraph(fault.told(), wide, bold=True))
        if result.faulted:
            told = _("Stopped by a fault of the program, not judged: {rules}.").format(rules=", ".join(result.faulted))
            made.extend(paragraph(told, wide, bold=True))
        made.extend(heading(_("Findings"), wide))
        if self.only:
            return [*made, *framed(_("None can be told: nothing is drawn, so nothing was judged."), wide)]
        counts = [(_(WORD_NAMES[word]), result.count(word)) for word in WORDS]
        counts += [(_("Waived"), len(result.waived)), (_("Not judged"), len(result.not_judged))]
        for name, count in counts:
            made.extend(item._replace(stays=True) for item in row(name, str(count), wide, _FIRST))
        for finding in result.findings:
            if finding.word == "danger":
                first = finding.message.partition(". ")[0].rstrip(".")
                made.extend(paragraph(_("DANGER: {what}.").format(what=first), wide, after=0.6))
        where = _("Each stands in the margin of the sheet that shows it, or on the pages of notes.")
        return [*made, *paragraph(where, wide), *self._waived(result, wide)]

    def _waived(self, result: CheckResult, wide: float) -> list[Item]:
        made = heading(_("Waived dangers"), wide)
        count = len(made)
        for finding in result.waived:
            waiver = result.waivers.get(finding.waived)
            if finding.word != "danger" or waiver is None:
                continue
            items = ", ".join(finding.designations) or _("the whole drawing")
            made.extend(
                paragraph(_("{rule} on {items}").format(rule=finding.rule, items=items), wide, bold=True, after=0.0)
            )
            told = _("{intent} by {who}: {reason}; to be looked at again by {review}.").format(
                intent=_(waiver.intent).capitalize(),
                who=waiver.who or _("nobody named"),
                reason=waiver.reason.rstrip(".") or _("no reason recorded"),
                review=waiver.review or _("no date"),
            )
            made.extend(paragraph(told, wide))
        return made if len(made) > count else [*made, *paragraph(_("None."), wide)]

    def _gaps(self, wide: float) -> list[Item]:
        """The rules that did not judge everything, the gravest first; where the whole list stands."""
        if self.result is None or self.only:
            return []
        gaps = self.result.not_judged
        made = heading(_("Not judged"), wide)
        if not gaps:
            return [*made, *paragraph(_("Every rule could judge everything it looks at."), wide)]
        every = ngettext(
            "{n} thing was not judged; it stands in the margin of its sheet or on the pages of notes.",
            "{n} things were not judged; all stand in the margins of their sheets or on the pages of notes.",
            len(gaps),
        )
        made.extend(paragraph(every.format(n=len(gaps)), wide, bold=True))
        rules = Counter((gap.rule, gap.would_be) for gap in gaps)
        order = sorted(rules, key=lambda rule: (WORDS.index(rule[1]), -rules[rule], rule))
        for rule, word in order:
            some = [gap for gap in gaps if (gap.rule, gap.would_be) == (rule, word)]
            told = _("{rule} (would be {word}): {what}.")
            made.extend(
                paragraph(
                    told.format(rule=_called(rule), word=_(WORD_NAMES[word]), what=_lacking(some)), wide, after=0.6
                )
            )
        return made

    # -- legend -----------------------------------------------------------------------------------------------------
    def _legend_items(self, scene: Scene, wide: float) -> list[Item]:
        if self._legend is not None:
            return self._legend
        made: list[Item] = []
        symbols = symbols_used(scene)
        if symbols:
            standard = self.snapshot.settings.symbols
            made.extend(heading(_("Symbols ({standard})").format(standard=standard), wide))
            made.extend(set_entries(symbols, wide))
        signs = lines_and_signs(scene, self.result, self.index)
        if signs:
            made.extend(heading(_("Lines and signs"), wide))
            made.extend(set_entries(signs, wide, abreast=1))
        self._legend = made
        return made


def _called(slug: str) -> str:
    """*Two AC sources can be joined [sources-meet]*: a rule by what it finds, then its name."""
    rule = rules().get(slug)
    return _("{title} [{rule}]").format(title=capital(_(rule.title)), rule=slug) if rule is not None else slug


def _lacking(gaps: Sequence[NotJudged]) -> str:
    """How many things, and what is missing most often."""
    count = ngettext("{n} thing", "{n} things", len(gaps)).format(n=len(gaps))
    missing = Counter(name for gap in gaps for name in gap.missing)
    if not missing:
        why = next((gap.why.rstrip(".") for gap in gaps if gap.why), "")
        return _("{count}; {why}").format(count=count, why=why) if why else count
    names = sorted(missing, key=lambda name: (-missing[name], natural(name)))
    shown = ", ".join(names[:3])
    more = len(names) - 3
    if more > 0:
        told = ngettext("{count}; missing {names} and {n} more", "{count}; missing {names} and {n} more", more)
        return told.format(count=count, names=shown, n=more)
    return _("{count}; missing {names}").format(count=count, names=shown)


def _name(n: int) -> str:
    """What a page of the cover is called in its title block."""
    return f"C{n}"


def _range(first: int, last: int) -> str:
    return str(first) if last <= first else f"{first} – {last}"


def _band(snapshot: Snapshot, box: Box) -> list[Primitive]:
    """The name of the boat, the title, the number: as large as a cover's, cut where they are too long for it."""
    vessel, block = snapshot.vessel, snapshot.title_block
    wide = box.right - box.left
    name = " ".join((vessel.name or _("Vessel without a name")).split())
    title = " ".join(", ".join(p for p in (block.title, block.supplementary_title) if p).split())
    about = [
        _("Drawing set"),
        block.number,
        _("revision {index}").format(index=block.revision) if block.revision else "",
        block.date,
        block.document_status,
    ]
    under = " ".join(" · ".join(part for part in about if part).split())
    return [
        Text(box.left, box.top + _NAME, cut_text(name, wide, _NAME, bold=True), _NAME, bold=True),
        Text(box.left, box.top + 15.5, cut_text(title or _("Drawing without a title"), wide, _TITLE), _TITLE),
        Text(box.left, box.top + 22.5, cut_text(under, wide, _UNDER), _UNDER),
        line(box.left, box.top + 25.5, box.right, box.top + 25.5, 0.7),
    ]
