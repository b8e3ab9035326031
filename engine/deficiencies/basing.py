"""On what a recommendation rests, in words. Nothing is told as a breach of a standard younger than the vessel.

A requirement *is not met* only where it is one: law that binds her or the standard when she was built, of an edition
whose year is known, not after the year she was built, and that is known as well. In all other cases the same thing is
told as a recommendation, with the reason. What a person has typed is not changed; where it names a younger edition, a
sentence beside it says so.
"""

from __future__ import annotations

import re

from engine.installation import Vessel
from engine.installation.surveying import Deficiency
from engine.words import N_, _

__all__ = ["BASES", "basis_words", "edition_year", "is_breach", "standing_words", "younger_editions"]

BASES = {
    "": N_("not said"),
    "law that binds her": N_("law that binds this vessel"),
    "standard when built": N_("standard when built"),
    "standard today": N_("standard today"),
    "maker's instruction": N_("maker's instruction"),
    "good practice": N_("good practice"),
}
_BINDING = ("law that binds her", "standard when built")
_YEAR = r"(?:1[89]\d\d|2[01]\d\d)"
# *ISO 13297:2020*, *IEC 60092-507 (2014)*, *E-11, 2021 edition*: letters, a number, then the year of an edition
_EDITION = re.compile(
    rf"\b([A-Z]{{1,12}}(?:[ /-][A-Z]{{1,12}}){{0,5}}[ -]?\d[\w.-]{{0,30}}?)"
    rf"(?:\s{{0,3}}:\s{{0,3}}|\s{{0,3}}\(|,?\s{{1,3}}(?:of\s|edition\s)?)({_YEAR})\b"
)  # every part bounded: words all in capitals would be looked at for ever
_BARE_YEAR = re.compile(rf"(?<![\w.-]){_YEAR}(?![\w.-]*\w)")


def basis_words(basis: str) -> str:
    """What a recommendation rests on, as people say it."""
    return _(BASES[basis])


def edition_year(deficiency: Deficiency) -> int | None:
    """The year of the edition relied on: as recorded or as its standard or clause names it, the latest; else `None`."""
    text = f"{deficiency.standard} ; {deficiency.clause}"
    years = [int(year) for year in (*(m[2] for m in _EDITION.finditer(text)), *_BARE_YEAR.findall(text))]
    if deficiency.standard_year is not None:
        years.append(deficiency.standard_year)
    return max(years, default=None)


def is_breach(deficiency: Deficiency, vessel: Vessel) -> bool:
    """Whether it may be told as something required of her that is not met; never with a year that is not known."""
    year, built = edition_year(deficiency), vessel.build_year
    return deficiency.basis in _BINDING and year is not None and built is not None and year <= built


def younger_editions(deficiency: Deficiency, vessel: Vessel) -> tuple[str, ...]:
    """Editions named in its words that are younger than the vessel, or may be: her year is not known."""
    words = " ; ".join((deficiency.observation, deficiency.risk, deficiency.recommendation))
    built = vessel.build_year
    found = (f"{m[1].strip()}:{m[2]}" for m in _EDITION.finditer(words) if built is None or int(m[2]) > built)
    return tuple(dict.fromkeys(found))


def standing_words(deficiency: Deficiency, vessel: Vessel, survey: object = None) -> str:
    """The basis in sentences, with the standard, its year and clause; a recommendation wherever it is not a breach.

    `survey` is not looked at: what binds is decided by the vessel's years alone.
    """
    told = [_standing(deficiency, vessel)]
    for edition in younger_editions(deficiency, vessel):
        text = (
            _("{edition}, named here, may be younger than the vessel, whose year is not recorded: recommended.")
            if vessel.build_year is None
            else _("{edition}, named here, is younger than the vessel, built {year}: recommended.")
        )
        told.append(text.format(edition=edition, year=vessel.build_year))
    return " ".join(told)


def _standing(deficiency: Deficiency, vessel: Vessel) -> str:
    cited = _cited(deficiency)
    basis = basis_words(deficiency.basis)
    head = _("{basis}: {cited}").format(basis=basis[:1].upper() + basis[1:], cited=cited) if cited else basis
    head = head[:1].upper() + head[1:]
    if not deficiency.basis:
        told = _("What the recommendation rests on is not recorded")
        return f"{told}: {cited}." if cited else f"{told}."
    if deficiency.basis not in (*_BINDING, "standard today"):
        return f"{head}."
    year, built = edition_year(deficiency), vessel.build_year
    if is_breach(deficiency, vessel):
        return _("{what}. It was in force when she was built ({year}) and is not met.").format(what=head, year=built)
    if built is None:
        why = _(
            "The year she was built is not recorded, so it is not known whether this was asked of her; recommended."
        )
    elif year is None:
        why = _(
            "The year of the edition is not recorded, so it is not known whether it is older than she is; recommended."
        )
    elif year > built and deficiency.basis == "law that binds her":
        why = _(
            "Its edition is younger than the vessel, built {year}; whether it is asked of her, the law itself must "
            "say: recommended."
        ).format(year=built)
    elif year > built:
        why = _("This edition would not be asked of a vessel built {year}; recommended.").format(year=built)
    else:
        why = _("Recommended.")
    return f"{head}. {why}"


def _cited(deficiency: Deficiency) -> str:
    standard, clause = deficiency.standard.strip(), deficiency.clause.strip()
    year = deficiency.standard_year
    if standard and year is not None and str(year) not in standard:
        standard = f"{standard} ({year})"
    elif not standard and year is not None and str(year) not in clause:
        standard = str(year)
    if clause and clause not in standard:
        return f"{standard}, {_(clause)}" if standard else _(clause)
    return standard
