"""The list of facts to read: as text for a terminal, as a table to take along, as JSON for machines."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

from app.figures.lines import headed, section, table, wrapped
from app.paper.table import Column, Table, Value, with_cautions
from app.text_report import WORD_NAMES, cautions
from engine.cautions import CAUTIONS
from engine.check import CheckResult
from engine.findings import WORDS, NotJudged
from engine.installation.model import Snapshot
from engine.missing import Missing, MissingFact, Unlock, expected
from engine.naming import inside
from engine.words import _, inward, ngettext

__all__ = ["as_json", "as_text", "count_words", "sheets", "unlock_words", "write_list"]

MOST_CHOICES = 3  # so many are printed to be ringed; where there are more the word is written down
BOX = "[ ]"
LINE = "_" * 18  # to write on


def unlock_words(unlocks: Iterable[Unlock]) -> str:
    """*danger: no-protection, slow-to-clear; caution: dips-on-start*, dangers first."""
    by_word = {word: [u.rule for u in unlocks if u.word == word] for word in WORDS}
    told = ((inward(_(WORD_NAMES[word])), rules) for word, rules in by_word.items() if rules)
    return "; ".join(_("{word}: {rules}").format(word=word, rules=", ".join(rules)) for word, rules in told)


def count_words(missing: Missing) -> str:
    """*28 facts are not recorded. 3 questions could not be judged for other reasons.*"""
    n, others = len(missing), len(missing.unnamed)
    if missing.of_assumed:
        if not n:
            return _("No value is only assumed.")
        words = ngettext("{n} value is only assumed and to be read.", "{n} values are only assumed and to be read.", n)
        return words.format(n=n)
    told = []
    if n or not others:
        told.append(
            ngettext(
                "{n} fact is not recorded that the check asks for.",
                "{n} facts are not recorded that the check asks for.",
                n,
            ).format(n=n)
            if n
            else _("Nothing is missing: no rule asks for a fact that is not recorded.")
        )
    if others:
        told.append(
            ngettext(
                "{n} question could not be judged for another reason.",
                "{n} questions could not be judged for other reasons.",
                others,
            ).format(n=others)
        )
    return " ".join(told)


def called(fact: MissingFact) -> str:
    """*F21 Fuse (Bilge pump 1)*, *W122 run from Q22 to E22*."""
    what = inside(fact.what)
    label = fact.label if fact.label.casefold() != fact.what.casefold() else ""
    told = " ".join(part for part in (fact.name, what if what.casefold() != fact.name.casefold() else "") if part)
    return _("{name} ({label})").format(name=told, label=label) if label else told


def asked(fact: MissingFact) -> str:
    """The field in words, and of what it is asked where the record does not say it."""
    if fact.assumed:
        return _("{field} (assumed: {value})").format(field=fact.words, value=fact.assumed)
    if fact.kept == "words":
        return _("{field} ({text})").format(field=fact.words, text=fact.text) if fact.words else fact.text
    if fact.kept == "owner" and fact.asked_of:
        return _("{field}, for {things}").format(field=fact.words, things=", ".join(fact.asked_of))
    return fact.words


# -- text -----------------------------------------------------------------------------------------------------------
def as_text(file: str, snapshot: Snapshot, result: CheckResult, missing: Missing, width: int = 100) -> str:
    """One file's list for a terminal."""
    judged = _("Facts to read, as {title}, edition {edition} ({book}) asks for them.").format(
        title=_(result.title), edition=result.edition, book=result.book
    )
    parts = ["\n".join((headed(file, snapshot), wrapped(judged, width), wrapped(count_words(missing), width)))]
    for heading, facts in missing.by_place():
        parts.append("\n".join((section(heading), *_lines(facts, width))))
    if missing.unnamed:
        told = [wrapped(why(gap), width, "  ", "    ") for gap in missing.unnamed]
        parts.append("\n".join((section(_("Not judged, and no fact recorded would tell")), *told)))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _lines(facts: Sequence[MissingFact], width: int) -> Iterator[str]:
    """A row a fact; below it, set in, what it would let be judged."""
    heads = ("", _("where"), _("what"), _("fact"))
    rows = [(BOX, f.where, called(f), _with_unit(f)) for f in facts]
    waiting = ""
    left = iter(facts)
    for text in table(heads, rows, width, "lwww").split("\n"):
        if text.startswith(BOX):  # a row begins: the one before it is whole
            if waiting:
                yield waiting
            rules = unlock_words(next(left).unlocks)
            told = _("for {rules}").format(rules=rules) if rules else _("no rule asks for it")
            waiting = wrapped(told, width, " " * 5, " " * 9)
        yield text
    yield waiting


def _with_unit(fact: MissingFact) -> str:
    wanted = expected(fact) if len(fact.choices) <= MOST_CHOICES else ""
    return _("{fact}, {unit}").format(fact=asked(fact), unit=wanted) if wanted else asked(fact)


def why(gap: NotJudged) -> str:
    """A question that no missing fact answers."""
    word = _("would be {word}").format(word=inward(_(WORD_NAMES[gap.would_be])))
    head = " ".join(part for part in (gap.rule, ", ".join(gap.designations)) if part)
    return _("{head} ({word}): {why}").format(head=head, word=word, why=gap.why or _("not judged"))


# -- to take along --------------------------------------------------------------------------------------------------
def sheets(missing: Missing) -> tuple[Table, ...]:
    """A table a place, with a box to tick and a line to write on."""
    columns = (
        Column("done", _("Done")),
        Column("where", _("Where"), width=32),
        Column("what", _("What"), width=48),
        Column("fact", _("Fact"), width=52),
        Column("value", _("As read aboard")),
        Column("rules", _("Would let be judged"), width=60),
    )
    made = []
    for n, (heading, facts) in enumerate(missing.by_place(), 1):
        rows: list[tuple[Value, ...]] = [
            (BOX, f.where, called(f), asked(f), _to_write(f), unlock_words(f.unlocks)) for f in facts
        ]
        made.append(Table(f"place {n}", heading, columns, tuple(rows)))
    if missing.unnamed or not made:
        notes = tuple(why(gap) for gap in missing.unnamed) or (count_words(missing),)
        made.append(Table("others", _("Not judged, and no fact recorded would tell"), columns, (), notes))
    return tuple(made)


def _to_write(fact: MissingFact) -> str:
    if fact.choices and len(fact.choices) <= MOST_CHOICES:
        return expected(fact)
    return f"{LINE} {fact.unit}".rstrip()


def _flat(missing: Missing) -> Table:
    """One table of everything, for a spreadsheet: the value is left open."""
    columns = (
        Column("place", _("Place")),
        Column("enclosure", _("Enclosure")),
        Column("position", _("Position")),
        Column("name", _("Designation")),
        Column("what", _("What")),
        Column("label", _("Label")),
        Column("fact", _("Fact")),
        Column("in", _("In")),
        Column("value", _("As read aboard"), blank=True),
        Column("rules", _("Would let be judged")),
        Column("field", _("Field")),
    )
    rows: list[tuple[Value, ...]] = []
    for heading, facts in missing.by_place():
        for f in facts:
            said = (f.enclosure, f.position, f.name, f.what, f.label, asked(f), expected(f))
            rows.append((heading, *said, None, unlock_words(f.unlocks), f.text))
    for gap in missing.unnamed:
        word = unlock_words((Unlock(gap.rule, gap.would_be),))
        rows.append((_("Not judged"), "", "", ", ".join(gap.designations), "", "", gap.why, "", None, word, ""))
    return Table("facts", _("Facts to read"), columns, tuple(rows))


def csv_text(missing: Missing) -> str:
    """The list as CSV."""
    from app.paper.csvfile import csv_bytes

    return csv_bytes((_flat(missing),)).decode("utf-8-sig")


def write_list(snapshot: Snapshot, result: CheckResult, missing: Missing, path: Path) -> str:
    """Write the list by the ending: PDF, XLSX, CSV, JSON; returns characters drawn as boxes. Raises `OSError`."""
    ending, block = path.suffix.lower(), snapshot.title_block
    if ending == ".pdf":
        from app.drawing.frame import text_size
        from app.drawing.title_block import judged_by, title_fields
        from app.paper.pages import write_tables

        base = title_fields(snapshot)
        fields = judged_by(base, result)._replace(
            title=_("Facts to read"), supplementary_title=base.title, document_type=_("Work list")
        )
        size = text_size(snapshot.settings.sheet_size)
        return write_tables(sheets(missing), path, size=size, fields=fields, language=block.language).missing_characters
    if ending == ".xlsx":
        from app.paper.xlsx import write_xlsx

        write_xlsx(with_cautions((_flat(missing),)), path, title=_("Facts to read"), author=block.creator)
    elif ending == ".csv":
        from app.paper.csvfile import write_csv

        write_csv((_flat(missing),), path)
    else:
        from engine.files.atomic import write_bytes
        from engine.report import dumps

        write_bytes(path, dumps(as_json("", result, missing)))
    return ""


# -- JSON -----------------------------------------------------------------------------------------------------------
def as_json(file: str, result: CheckResult, missing: Missing) -> dict[str, Any]:
    """One file's list, in walking order. Keys and words are for ever."""
    return {
        "file": file,
        "book": result.book,
        "edition": result.edition,
        "facts": [_fact(fact) for fact in missing.facts],
        "not_judged": [
            {"rule": g.rule, "would_be": g.would_be, "designations": list(g.designations), "why": g.why}
            for g in missing.unnamed
        ],
        "cautions": list(CAUTIONS),
        "summary": {"facts": len(missing), "not_judged": len(missing.unnamed)},
    }


def _fact(fact: MissingFact) -> dict[str, Any]:
    return {
        "field": fact.text,
        "table": fact.table,
        "designation": fact.name,
        "what": fact.what,
        "label": fact.label,
        "fact": fact.words,
        "help": fact.help,
        "unit": fact.unit,
        "choices": list(fact.choices),
        "place": fact.place_name,
        "enclosure": fact.enclosure,
        "position": fact.position,
        "unlocks": [{"rule": u.rule, "word": u.word} for u in fact.unlocks],
        "asked_of": list(fact.asked_of),
        **({"assumed": fact.assumed} if fact.assumed else {}),
    }
