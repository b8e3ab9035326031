"""A quotation as tables and as pages: what is priced, the sums, what is not priced and why, lines to sign on."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING

from app.handover.parts.money import amount, as_date, decimals_of, locale_of, money, usual_locale
from app.handover.parts.offer import Offer, Priced, Sum
from app.handover.parts.order import SECTIONS
from app.handover.parts.wanted import QuotationWanted
from app.paper.blocks import Block, Gap, Heading, Paragraph, Points, Signatures
from app.paper.table import Column, Table, Value
from engine.installation import Snapshot
from engine.units import number
from engine.words import _, ngettext

if TYPE_CHECKING:
    from babel import Locale

__all__ = ["blocks_of", "gaps_of", "tables_of"]


def _locale(snapshot: Snapshot, wanted: QuotationWanted) -> Locale:
    return locale_of(wanted.locale) if wanted.locale else usual_locale(snapshot.title_block.language)


# -- tables: plain numbers, for other programs ------------------------------------------------------------------------
def tables_of(snapshot: Snapshot, offer: Offer, wanted: QuotationWanted) -> tuple[Table, ...]:
    """Lines, sums, lines without a price, particulars; numbers as numbers."""
    places = max((_places(each) for each in offer.priced), default=2)
    minor = max((decimals_of(each.currency) for each in offer.priced), default=2)
    rows: list[tuple[Value, ...]] = [
        (
            n, _(SECTIONS[each.line.section]), _plain(each.line.quantity), each.line.unit, each.line.what,
            each.line.maker, each.line.key(), float(each.price), each.per, each.currency or None,
            float(each.sum), each.source,
        )
        for n, each in enumerate(offer.priced, 1)
    ]  # fmt: skip
    lines = Table(
        "lines",
        _("Quotation"),
        (
            Column("line", _("Line"), align="right"),
            Column("section", _("Section")),
            Column("quantity", _("Quantity"), align="right"),
            Column("unit", _("Unit")),
            Column("what", _("What")),
            Column("maker", _("Maker")),
            Column("part_number", _("Part number or code")),
            Column("price", _("Price"), "", "right", places),
            Column("per", _("Per")),
            Column("currency", _("Currency")),
            Column("sum", _("Sum"), "", "right", minor),
            Column("price_from", _("Price from")),
        ),
        tuple(rows),
        (*_notes(offer, wanted), *gaps_of(offer, wanted)),
    )
    return lines, _sums_table(offer, minor), _unpriced_table(offer), _particulars(snapshot, wanted)


def _plain(value: Decimal | None) -> Value:
    if value is None:
        return None
    return int(value) if value == value.to_integral_value() else float(value)


def _places(each: Priced) -> int:
    """Places a price is written with: those it has, at least the currency's own."""
    exponent = each.price.normalize().as_tuple().exponent
    return max(decimals_of(each.currency), -exponent if isinstance(exponent, int) else 0)


def _sums_table(offer: Offer, minor: int) -> Table:
    rows: list[tuple[Value, ...]] = []
    for each in offer.sums:
        rows.extend((each.currency or None, what, float(value)) for what, value in _steps(each, offer))
    columns = (
        Column("currency", _("Currency")),
        Column("what", _("What")),
        Column("amount", _("Amount"), "", "right", minor),
    )
    return Table("sums", _("Sums"), columns, tuple(rows), () if rows else (_("No line has a price: there is no sum."),))


def _steps(each: Sum, offer: Offer, locale: Locale | None = None) -> list[tuple[str, Decimal]]:
    """Net sum, taxes, total: in words with their amounts; a percentage as the place writes it, plainly for tables."""
    if not each.taxes:
        words = _("Total of the lines with a price, no tax stated") if offer.unpriced else _("Total, no tax stated")
        return [(words, each.total)]
    made = [(_("Sum before tax"), each.net)]
    for tax, due in each.taxes:
        percent = number(float(tax.percent), 6)
        if locale is not None:
            exponent = tax.percent.normalize().as_tuple().exponent
            percent = amount(tax.percent, locale, max(0, -exponent) if isinstance(exponent, int) else 0)
        made.append((_("{name} {percent} %").format(name=tax.name or _("Tax"), percent=percent), due))
    return [*made, (_("Total of the lines with a price") if offer.unpriced else _("Total"), each.total)]


def _unpriced_table(offer: Offer) -> Table:
    rows = tuple(
        (
            _(SECTIONS[each.line.section]), _plain(each.line.quantity), each.line.unit, each.line.what,
            each.line.maker, each.line.key(), None, each.why,
        )
        for each in offer.unpriced
    )  # fmt: skip
    columns = (
        Column("section", _("Section")),
        Column("quantity", _("Quantity"), align="right"),
        Column("unit", _("Unit")),
        Column("what", _("What")),
        Column("maker", _("Maker")),
        Column("part_number", _("Part number or code")),
        Column("price", _("Price"), blank=True),  # to be filled in and read back
        Column("why", _("Why it has no price")),
    )
    notes = () if rows else (_("Every line has a price."),)
    return Table("without_price", _("Without a price, in no sum"), columns, rows, notes)


def _particulars(snapshot: Snapshot, wanted: QuotationWanted) -> Table:
    rows = tuple((name, text) for name, text in _stated(snapshot, wanted, None))
    return Table("particulars", _("Particulars"), (Column("name", _("What")), Column("text", _("Stated"))), rows)


def _stated(snapshot: Snapshot, wanted: QuotationWanted, locale: Locale | None) -> list[tuple[str, str]]:
    """What a quotation says of itself; what nobody stated is said to be so."""
    block, vessel, none = snapshot.title_block, snapshot.vessel, _("not stated")

    def day(text: str) -> str:
        return as_date(text, locale) if text and locale is not None else text or none

    drawing = " ".join(part for part in (block.number, block.revision) if part)
    return [
        (_("Quotation"), wanted.number or none),
        (_("Customer"), wanted.customer or none),
        (_("Supplier"), wanted.supplier or block.legal_owner or none),
        (_("Vessel"), vessel.name or none),
        (_("Drawing, revision"), drawing or none),
        (_("Date"), day(wanted.date)),
        (_("Valid until"), day(wanted.valid_until)),
    ]


# -- what has to be said ----------------------------------------------------------------------------------------------
def gaps_of(offer: Offer, wanted: QuotationWanted) -> tuple[str, ...]:
    """What is missing in the sums, what does not fit together, and what of the price list was not used."""
    told = () if wanted.prices is None else wanted.prices.told
    return (*_lacks(offer, wanted), *map(_sentence, told))


def _lacks(offer: Offer, wanted: QuotationWanted) -> tuple[str, ...]:
    """What is missing in the sums, and what does not fit together: the customer is told too."""
    made = []
    if not offer.priced and not offer.unpriced:
        made.append(_("Nothing in the drawing is new: there is nothing to quote."))
    if offer.unpriced:
        made.append(
            ngettext(
                "{n} line has no price and is in no sum: it stands in the list of those without a price.",
                "{n} lines have no price and are in no sum: they stand in the list of those without a price.",
                len(offer.unpriced),
            ).format(n=len(offer.unpriced))
        )
    if len(offer.sums) > 1:
        names = ", ".join(each.currency or _("no currency stated") for each in offer.sums)
        made.append(
            _("Prices are in several currencies, summed apart; nothing is converted: {names}.").format(names=names)
        )
    elif offer.sums and not offer.sums[0].currency:
        made.append(_("No currency is stated, by the price list or by the drawing."))
    if wanted.date and wanted.valid_until and wanted.valid_until < wanted.date:
        made.append(
            _("It is valid until {end}, which is before its date, {date}.").format(
                end=wanted.valid_until, date=wanted.date
            )
        )
    return tuple(made)


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def _notes(offer: Offer, wanted: QuotationWanted) -> list[str]:
    notes = [
        _("Each line and each tax is rounded to the smallest coin, halves up; the sum is that of the rounded lines."),
        _("Cable is quoted by length with waste; the bill of materials tells how it is cut from drums."),
    ]  # fmt: skip
    if wanted.prices is None:
        notes.append(_("No price list was given: prices are those the drawing records."))
    else:
        drawn = sum(each.source == _("drawing") for each in offer.priced)
        if drawn:
            notes.append(
                ngettext(
                    "{n} line is priced as the drawing records: the price list does not have it.",
                    "{n} lines are priced as the drawing records: the price list does not have them.",
                    drawn,
                ).format(n=drawn)
            )
    return notes


# -- pages: as people of the place write ------------------------------------------------------------------------------
def blocks_of(snapshot: Snapshot, offer: Offer, wanted: QuotationWanted) -> tuple[Block, ...]:
    """The quotation from top to bottom."""
    locale = _locale(snapshot, wanted)
    columns = (Column("name", _("Particulars")), Column("text", ""))
    rows = tuple((name, text) for name, text in _stated(snapshot, wanted, locale))
    made: list[Block] = [Table("particulars", _("Quotation"), columns, rows)]
    made.extend(Gap(text) for text in _lacks(offer, wanted))
    made.extend(_priced_tables(offer, locale))
    if offer.priced:
        made.append(_page_sums(offer, locale))
    elif offer.unpriced:
        made.append(Gap(_("No line has a price: there is no sum.")))
    made.extend(Paragraph(note) for note in _notes(offer, wanted))
    if wanted.terms:
        made += [Heading(_("Terms"), 2), Points(wanted.terms)]
    if offer.priced:
        made.append(Signatures((_("For the supplier"), _("Accepted by the customer"))))
    if offer.unpriced:
        made.append(_page_unpriced(offer, locale))
    return tuple(made)


def _priced_tables(offer: Offer, locale: Locale) -> list[Table]:
    """One table for each section that has lines, numbered through."""
    several = len(offer.sums) > 1
    made = []
    numbered = list(enumerate(offer.priced, 1))
    for section, title in SECTIONS.items():
        own = [(n, each) for n, each in numbered if each.line.section == section]
        if own:
            made.append(_priced_table(section, _(title), own, locale, several))
    return made


def _priced_table(section: str, title: str, own: Sequence[tuple[int, Priced]], locale: Locale, several: bool) -> Table:
    currency = "" if several else own[0][1].currency
    columns = (
        Column("line", _("Line"), align="right"),
        Column("quantity", _("Quantity"), align="right"),
        Column("what", _("What")),
        Column("part_number", _("Part number"), width=38.0),
        Column("price", _("Price"), currency, "right"),
        Column("per", _("Per")),
        Column("sum", _("Sum"), currency, "right"),
    )
    rows = tuple(
        (
            str(n),
            _quantity(each.line.quantity, each.line.unit, locale),
            ", ".join(part for part in (each.line.what, each.line.maker) if part),
            each.line.part_number,
            amount(each.price, locale, _places(each)),
            each.per,
            money(each.sum, each.currency, locale) if several else amount(each.sum, locale, decimals_of(currency)),
        )
        for n, each in own
    )
    return _without_empty(Table(section, title, columns, rows), "part_number")


def _quantity(value: Decimal | None, unit: str, locale: Locale) -> str:
    if value is None:
        return _("not known")
    exponent = value.normalize().as_tuple().exponent
    places = max(0, -exponent) if isinstance(exponent, int) else 0
    return f"{amount(value, locale, places)} {unit}"


def _page_sums(offer: Offer, locale: Locale) -> Table:
    columns = (Column("what", _("Sums")), Column("amount", "", "", "right"))
    rows = [
        (what, money(value, each.currency, locale))
        for each in offer.sums
        for what, value in _steps(each, offer, locale)
    ]
    return Table("sums", "", columns, tuple(rows))


def _page_unpriced(offer: Offer, locale: Locale) -> Table:
    columns = (
        Column("quantity", _("Quantity"), align="right"),
        Column("what", _("What")),
        Column("part_number", _("Part number"), width=38.0),
        Column("why", _("Why it has no price"), width=38.0),
    )
    rows = tuple(
        (
            _quantity(each.line.quantity, each.line.unit, locale),
            ", ".join(part for part in (each.line.what, each.line.maker) if part),
            each.line.part_number,
            each.why,
        )
        for each in offer.unpriced
    )
    return _without_empty(Table("without_price", _("Without a price, in no sum"), columns, rows), "part_number")


def _without_empty(table: Table, name: str) -> Table:
    """Without a column that is empty in every row."""
    at = next(n for n, column in enumerate(table.columns) if column.name == name)
    if any(row[at] for row in table.rows):
        return table
    rows = tuple((*row[:at], *row[at + 1 :]) for row in table.rows)
    return table._replace(columns=(*table.columns[:at], *table.columns[at + 1 :]), rows=rows)
