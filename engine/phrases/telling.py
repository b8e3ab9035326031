"""What a line was understood as, in words: "Fuse, class T, 300 A"."""

from __future__ import annotations

from typing import Any

from engine.equipment.base import Breaking
from engine.files.lists.values import write_value
from engine.installation import Snapshot
from engine.naming import inside, label_of, title_of
from engine.phrases.steps import Given
from engine.phrases.vocabulary import bare_fields, plain_fields, vocabulary
from engine.record import FieldSpec
from engine.units import UNITS, show, show_size
from engine.words import N_, _

__all__ = ["told", "value_in_words"]

_EXACT = 12  # figures: all that a person wrote
_SHORT = {
    "quantity": N_("{value} side by side"),
    "poles": N_("poles {value}"),
    "curve": N_("curve {value}"),
    "bundle": N_("bundle of {value}"),
    "parallel": N_("{value} in parallel"),
    "series": N_("{value} in series"),
    "residual_type": N_("type {value}"),
}
_SAY_THEMSELVES = ("designation", "label", "breaking", "size", "length_m", "conductor", "sheath", "colour", "status",
                   "function", "insulation_c")  # fmt: skip


def told(cls: Any, given: tuple[Given, ...], snapshot: Snapshot, *, alone: bool = False) -> str:
    """The kind, then every value; those that do not say by themselves what they are with the name of their field.

    `alone`: the values without the kind.
    """
    words = vocabulary(cls)
    parts = [] if alone or not getattr(cls, "NAME", "") else [_(cls.NAME)]
    for each in given:
        spec = words.specs[each.field]
        text = value_in_words(spec, each.value, snapshot)
        if spec.shape == "yesno":
            label = inside(label_of(cls, spec))
            text = label if each.value else _("{label}: no").format(label=label)
        elif spec.name in _SHORT:
            text = _(_SHORT[spec.name]).format(value=text)
        elif not _is_plain(cls, spec, each.value):
            text = _("{label}: {value}").format(label=inside(label_of(cls, spec)), value=text)
        if each.origin:
            text = _("{value} ({origin})").format(value=text, origin=_(each.origin))
        parts.append(text)
    return ", ".join(parts)


def value_in_words(spec: FieldSpec, value: Any, snapshot: Snapshot) -> str:
    """A value of a field with its unit, as the drawing's units are."""
    if value is None or value == () or value == "":
        return _("not recorded")
    if spec.fact.unit == "size":
        return show_size(value)
    if spec.shape == "number":
        unit = spec.fact.unit
        return show(value, unit, snapshot.settings.units, _EXACT) if unit in UNITS else f"{value:.12g}"
    if spec.shape == "yesno":
        return _("yes") if value else _("no")
    if spec.shape == "choice":
        return _(str(value))
    if spec.fact.refers and spec.shape == "word":
        return title_of(snapshot, spec.fact.refers, value)
    if spec.shape == "records" and value and isinstance(value[0], Breaking):
        return "; ".join(
            _("{amps} at {volts} {kind}").format(amps=show(b.amps, "A"), volts=show(b.volts, "V"), kind=b.kind)
            for b in value
        )
    if spec.shape == "words":
        return " ".join(value)
    if spec.shape == "records":
        return write_value(spec, value, _Plain(snapshot)).text
    return f"“{value}”" if spec.name == "label" else str(value)


class _Plain:
    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot

    def name_of(self, table: str, item: str) -> str:
        """What `item` is called."""
        return title_of(self.snapshot, table, item)

    def id_of(self, table: str, name: str) -> str:
        """Never asked for: values are only shown here."""
        return name


def _is_plain(cls: Any, spec: FieldSpec, value: Any) -> bool:
    """Whether a value says by itself what it is."""
    if spec.name in _SAY_THEMSELVES or spec.fact.refers in ("places", "enclosures"):
        return True
    words = vocabulary(cls)
    if spec.shape == "choice":
        return sum(str(value) in s.choices for s in words.specs.values()) == 1 and len(str(value)) > 2
    if spec.shape != "number":
        return False
    if spec.fact.unit in ("", "%"):
        return False
    if len([n for n, s in words.specs.items() if s.fact.unit == spec.fact.unit and n in words.own]) == 1:
        return spec.name in words.own
    fields = plain_fields(words, spec.fact.unit, value, "", frozenset())
    return fields == [spec.name] or (len(bare_fields(words)) == 1 and bare_fields(words)[0][0] == spec.name)
