"""Every symbol as plain facts: for the list, the printed sheet, the particulars of a symbol. No picture, no Qt."""

from __future__ import annotations

from typing import Any, NamedTuple

from engine.equipment import kinds
from engine.record import field_specs
from engine.words import N_, _
from symbols import catalogue
from symbols.catalogue import IEC, IEEE, STANDARDS, Standard, Symbol
from symbols.reading import RECORDED

__all__ = ["Listed", "as_object", "chosen_by", "listed", "standing", "without_standing"]

MEMORY, PRACTICE = "(from memory, not confirmed)", "(common practice, no source)"
_STANDINGS = {MEMORY: N_("from memory, not confirmed"), PRACTICE: N_("common practice, no source")}


class Listed(NamedTuple):
    """A symbol among the others. `family` is that of its kind, "marks" for a small sign, "own" for a yard's own."""

    symbol: Symbol
    family: str
    title: str
    letters: tuple[str, ...]
    of_kind: str  # the kind it draws otherwise, in words; "" for the kind's own

    @property
    def name(self) -> str:
        """The name drawings and files use."""
        return self.symbol.slug


def listed(own: dict[str, Symbol] | None = None) -> tuple[Listed, ...]:
    """All of them: by family, each kind followed by its variants, then the small signs, then a yard's own."""
    found: list[Listed] = []
    every = kinds()
    families: dict[str, list[str]] = {}
    for kind in every:
        families.setdefault(catalogue.symbol(kind).family, []).append(kind)
    for family, some in families.items():
        for kind in some:
            letters, title = every[kind].LETTERS, _(every[kind].NAME)
            found.append(Listed(catalogue.symbol(kind), family, title, letters, ""))
            for name in catalogue.variants(kind):
                of = catalogue.symbol(name)
                found.append(Listed(of, family, _(of.name), letters, title))
    found += [Listed(of, "marks", _(of.name), (), "") for of in map(catalogue.symbol, catalogue.marks())]
    for of in (own or {}).values():
        found.append(Listed(of, "own", of.name, every[of.kind].LETTERS, _(every[of.kind].NAME)))
    return tuple(found)


def standing(clause: str) -> str:
    """How far a clause can be relied on."""
    for tag, told in _STANDINGS.items():
        if clause.endswith(tag):
            return _(told)
    return _("confirmed") if clause else ""


def without_standing(clause: str) -> str:
    """The clause alone."""
    return clause.removesuffix(MEMORY).removesuffix(PRACTICE).strip()


def chosen_by(of: Symbol) -> str:
    """Which fields of a record lead to it, "" where it is chosen by name only."""
    if not of.when:
        return ""
    titles = {}
    for spec in field_specs(kinds()[of.kind]):
        title = _(spec.fact.help).partition(";")[0]
        titles[spec.name] = title.rpartition(":")[0] or title if spec.shape == "yesno" else title
    told = []
    for field, values in of.when.items():
        title = titles.get(field, field)
        if values == (RECORDED,):
            told.append(_("{field}: recorded").format(field=title))
        else:
            told.append(_("{field}: {values}").format(field=title, values=_(" or ").join(map(_value, values))))
    return "; ".join(told)


def _value(value: object) -> str:
    return {True: _("yes"), False: _("no")}[value] if isinstance(value, bool) else _(str(value))


def as_object(each: Listed) -> dict[str, Any]:
    """For JSON."""
    of = each.symbol
    shapes = {standard: catalogue.shape(of, standard) for standard in STANDARDS}
    return {
        "name": each.name,
        "kind": of.kind if each.family != "marks" else None,
        "title": each.title,
        "family": each.family,
        "letters": list(each.letters),
        "clauses": {standard: _clause(of, standard) for standard in STANDARDS},
        "drawn_alike": shapes[IEC].primitives == shapes[IEEE].primitives,
        "terminals": [
            {"name": port.name, "x_steps": port.x, "y_steps": port.y, "side": port.side}
            for port in shapes[IEC].ports.values()
        ],
        "positions": list(of.positions()),
        "chosen_by": {
            field: "recorded" if values == (RECORDED,) else list(values) for field, values in of.when.items()
        },
        "own": of.is_own,
    }


def _clause(of: Symbol, standard: Standard) -> dict[str, Any]:
    clause = of.faces[standard].clause
    return {
        "clause": without_standing(clause),
        "confirmed": bool(clause) and not clause.endswith((MEMORY, PRACTICE)),
        "standing": standing(clause),
    }
