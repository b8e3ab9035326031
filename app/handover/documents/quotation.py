"""The quotation: the lines of the order with prices, taxes, validity, and lines to sign on."""

from __future__ import annotations

import argparse

from app.handover.document import Document
from app.handover.job import Job, Options
from app.handover.labels.signs import signs
from app.handover.parts.asked import a_currency, a_date, a_locale, a_tax
from app.handover.parts.offer import offer_of
from app.handover.parts.quoting import blocks_of, gaps_of, tables_of
from app.handover.parts.wanted import QuotationWanted
from app.paper.setting import set_blocks
from engine.words import N_, _

__all__ = ["FOR", "NAME", "ORDER", "PURPOSE", "TITLE", "add_arguments", "asked", "make"]

NAME = "quotation"
TITLE = N_("Quotation")
PURPOSE = N_("What is to be ordered with prices, taxes and validity, to be accepted.")
FOR = N_("the customer")
ORDER = 51


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Prices, taxes, dates, names, formats."""
    parser.add_argument(
        "--prices",
        metavar="LIST",
        help=_("price list, CSV or XLSX: part number, price; description, unit, currency, maker where it has them"),
    )
    parser.add_argument(
        "--tax",
        type=a_tax,
        action="append",
        default=[],
        metavar="PERCENT",
        help=_("tax on the sum, such as 20 or VAT=20; may be given again"),
    )
    parser.add_argument("--date", type=a_date, metavar="DAY", help=_("date of the quotation, YYYY-MM-DD"))
    parser.add_argument("--valid-until", type=a_date, metavar="DAY", help=_("last day it is valid, YYYY-MM-DD"))
    parser.add_argument(
        "--locale", type=a_locale, metavar="L", help=_("formats of numbers and dates, such as de_DE or en_US")
    )
    parser.add_argument(
        "--currency", type=a_currency, metavar="CODE", help=_("currency of prices that name none, such as EUR")
    )
    parser.add_argument("--customer", metavar="NAME", help=_("who it is for"))
    parser.add_argument("--supplier", metavar="NAME", help=_("who it is from, instead of the drawing's legal owner"))
    parser.add_argument("--quotation-number", metavar="N", help=_("number of the quotation"))
    parser.add_argument(
        "--terms", action="append", default=[], metavar="TEXT", help=_("a term of it; may be given again")
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Options with what the arguments say. Raises `FileError` for a price list that cannot be used."""
    prices = None
    if arguments.prices:
        from app.handover.parts.prices import read_prices

        prices = read_prices(arguments.prices)
    wanted = QuotationWanted(
        prices=prices,
        taxes=tuple(arguments.tax),
        date=arguments.date or "",
        valid_until=arguments.valid_until or "",
        locale=arguments.locale or "",
        currency=arguments.currency or "",
        customer=arguments.customer or "",
        supplier=arguments.supplier or "",
        number=arguments.quotation_number or "",
        terms=tuple(arguments.terms),
    )
    return options._replace(quotation=wanted)


def make(job: Job) -> Document:
    """The quotation for one drawing."""
    wanted = job.options.quotation
    offer = offer_of(job.snapshot, job.options.parts, wanted, signs(job.study, job.result, only_new=True))
    blocks = blocks_of(job.snapshot, offer, wanted)
    fields = job.fields(_(TITLE), _("Quotation"))
    pictures = set_blocks(blocks, size=job.text_size, fields=fields, upright=True)
    return Document(NAME, _(TITLE), pictures, tables_of(job.snapshot, offer, wanted), gaps_of(offer, wanted))
