"""What may be recorded of a kind of equipment: terminals, positions, facts, from the record's own annotations."""

from __future__ import annotations

import textwrap

from engine.equipment import kinds
from engine.equipment.base import Equipment
from engine.record import FieldSpec, field_specs
from engine.words import _

__all__ = ["kind_list", "kind_page"]


def kind_list() -> str:
    """Every kind: the name lists and files use, the name for people."""
    rows = [(kind, _(cls.NAME)) for kind, cls in kinds().items()]
    wide = max(len(kind) for kind, _name in rows)
    return "\n".join(f"{kind:<{wide}}  {name}" for kind, name in rows)


def kind_page(cls: type[Equipment], width: int = 100) -> str:
    """The page of one kind: what a list may say of it, column by column."""
    piece = cls()
    common = {spec.name for spec in field_specs(Equipment)}
    parts = [f"{cls.KIND}: {_(cls.NAME)}"]
    parts.append(textwrap.fill(_(" ".join((cls.__doc__ or "").split())), width))
    parts.append(_("Designation letters (IEC 81346-2): {letters}").format(letters=", ".join(cls.LETTERS)))
    terminals = [
        f"  {t.name}: {', '.join(t.conductors)}" + (f"; {_(t.help)}" if t.help else "") for t in piece.terminals()
    ]
    parts.append("\n".join([_("Terminals and the conductors they carry"), *terminals]))
    if piece.positions():
        parts.append(
            _("Positions: {positions}; {normal} unless recorded").format(
                positions=", ".join(piece.positions()), normal=piece.normal_position()
            )
        )
    own = [s for s in field_specs(cls) if s.name not in common]
    shared = [s for s in field_specs(cls) if s.name in common]
    for title, specs in ((_("Its own facts"), own), (_("Facts of every kind"), shared)):
        if specs:
            parts.append("\n".join([title, *(_fact(spec, width) for spec in specs)]))
    return "\n\n".join(parts)


def _fact(spec: FieldSpec, width: int) -> str:
    what = spec.fact.unit if spec.fact.unit not in ("", "size") else ""
    if spec.shape == "yesno":
        what = _("yes or no")
    elif spec.choices and spec.shape == "choice":
        what = _(" or ").join(c for c in spec.choices if c)
    elif spec.shape in ("records", "record") and spec.item is not None:
        what = ", ".join(s.name for s in field_specs(spec.item))
    told = f"  {spec.file_name}" + (f" [{what}]" if what else "") + f": {_(spec.fact.help)}"
    return textwrap.fill(told, width, subsequent_indent="      ", break_on_hyphens=False)
