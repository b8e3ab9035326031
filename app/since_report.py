"""What has changed since an earlier state of a drawing: as text for a terminal, as JSON for machines."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from app.figures.lines import headed, section, wrapped
from app.text_report import WORD_NAMES, cautions, finding_text
from engine.check import CheckResult
from engine.findings import Finding, NotJudged
from engine.installation.model import Snapshot
from engine.since import Gone, Kept, New, Since
from engine.words import N_, _, ngettext

__all__ = ["as_json", "as_text"]

MOST = 8  # names told in a line
_WAS = {"waived": N_("It was waived before."), "not judged": N_("Before, it could not be judged.")}
_NOW = {
    "": N_("It is not found any more."),
    "waived": N_("It is waived now."),
    "not judged": N_("It cannot be judged now: it is not known to be put right."),
}


# -- text -------------------------------------------------------------------------------------------------------------
def as_text(file: str, old_file: str, snapshot: Snapshot, result: CheckResult, told: Since, width: int = 100) -> str:
    """Three sections: new, as before, gone; what could not be judged stands in each after what was found."""
    judged = _("Both judged by {title}, edition {edition} ({book}).").format(
        title=_(result.title), edition=result.edition, book=result.book
    )
    head = (headed(file, snapshot), _("Since {file}.").format(file=old_file), judged, _counts(told))
    parts = ["\n".join(wrapped(line, width) for line in head)]
    parts.append(_section(_("NEW"), [*(_new(n, result, width) for n in told.new), *_gaps(told.new_gaps, width)]))
    kept = [*(_kept(k, width) for k in told.kept), *_gaps(told.kept_gaps, width)]
    parts.append(_section(_("AS BEFORE"), kept, tight=True))
    gone = [
        *(_gone(g, width) for g in told.gone),
        *_gaps(told.gone_gaps, width, _("it is judged now, or not asked any more")),
    ]
    parts.append(_section(_("GONE"), gone, tight=True))
    parts.append(cautions(width))
    return "\n\n".join(parts)


def _counts(told: Since) -> str:
    """*2 new, 14 as before (3 changed), 1 gone; not judged: 0 new, 12 as before, 2 gone.*"""
    changed = sum(bool(k.changes) for k in told.kept)
    kept = ngettext("{n} as before", "{n} as before", len(told.kept)).format(n=len(told.kept))
    if changed:
        kept += " " + ngettext("({n} changed)", "({n} changed)", changed).format(n=changed)
    return _("Findings: {new} new, {kept}, {gone} gone. Not judged: {gaps} new, {same} as before, {off} gone.").format(
        new=len(told.new),
        kept=kept,
        gone=len(told.gone),
        gaps=len(told.new_gaps),
        same=len(told.kept_gaps),
        off=len(told.gone_gaps),
    )


def _section(title: str, blocks: Iterable[str], *, tight: bool = False) -> str:
    blocks = list(blocks) or [_("Nothing.")]
    return f"{section(title)}\n" + ("\n" if tight else "\n\n").join(blocks)


def _new(new: New, result: CheckResult, width: int) -> str:
    text = finding_text(new.finding, result, width)
    return f"{text}\n{wrapped(_(_WAS[new.was]), width, '  ')}" if new.was else text


def _title(finding: Finding) -> str:
    return f"{_(WORD_NAMES[finding.word])}  {finding.rule}  {', '.join(finding.designations)}".rstrip()


def _kept(kept: Kept, width: int) -> str:
    lines = [wrapped(_title(kept.finding), width, "", "    ")]
    lines += [wrapped(change, width, "    ", "      ") for change in kept.changes]
    return "\n".join(lines)


def _gone(gone: Gone, width: int) -> str:
    return f"{wrapped(_title(gone.finding), width, '', '    ')}\n{wrapped(_(_NOW[gone.now]), width, '    ')}"


def _gaps(gaps: Iterable[NotJudged], width: int, said: str = "") -> list[str]:
    made = []
    for gap in gaps:
        head = _("not judged (would be {word})").format(word=_(WORD_NAMES[gap.would_be]))
        missing = _("missing {fields}").format(fields=_few(gap.missing)) if gap.missing else gap.why
        parts = "  ".join(part for part in (head, gap.rule, _few(gap.designations)) if part)
        told = "; ".join(part for part in (missing, said) if part)
        made.append(wrapped(": ".join(part for part in (parts, told) if part), width, "", "    "))
    return made


def _few(names: Sequence[str]) -> str:
    """The first few of many."""
    more = len(names) - MOST
    few = ", ".join(names[:MOST])
    return ngettext("{few} and {n} more", "{few} and {n} more", more).format(few=few, n=more) if more > 0 else few


# -- JSON ----------------------------------------------------------------------------------------------------
def as_json(old_file: str, told: Since) -> dict[str, Any]:
    """What stands under the key *since* of a report. Keys and words are for ever."""
    return {
        "file": old_file,
        "new": [_plain(new.finding) | {"was": new.was} for new in told.new],
        "unchanged": [
            _plain(kept.finding) | {"word_before": kept.before.word, "changes": list(kept.changes)}
            for kept in told.kept
        ],
        "gone": [_plain(gone.finding) | {"now": gone.now} for gone in told.gone],
        "not_judged": {
            "new": [_plain_gap(gap) for gap in told.new_gaps],
            "unchanged": [_plain_gap(gap) for gap in told.kept_gaps],
            "gone": [_plain_gap(gap) for gap in told.gone_gaps],
        },
    }


def _plain(finding: Finding) -> dict[str, Any]:
    return {
        "fingerprint": finding.key,
        "rule": finding.rule,
        "word": finding.word,
        "designations": list(finding.designations),
        "message": finding.message,
        "figures": {f.name: {"value": f.value, "unit": f.unit} for f in finding.figures},
    }


def _plain_gap(gap: NotJudged) -> dict[str, Any]:
    return {
        "fingerprint": gap.key,
        "rule": gap.rule,
        "would_be": gap.would_be,
        "designations": list(gap.designations),
        "missing": list(gap.missing),
    }
