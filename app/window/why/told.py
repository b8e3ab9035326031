"""What every rule says of a thing, as a page to read. No Qt."""

from __future__ import annotations

import html
from collections.abc import Sequence

from app.text_report import WORD_NAMES
from app.why_report import HEADINGS, margin_text, name_of, said_text
from engine.installation.model import Snapshot
from engine.why import VERDICTS, Said
from engine.words import _, ngettext

__all__ = ["MOST", "asked", "head", "page_html"]

MOST = 12  # things told of at once: more are not read


def asked(snapshot: Snapshot, chosen: Sequence[str]) -> tuple[str, ...]:
    """Runs and equipment among what is chosen."""
    return tuple(item for item in chosen if item in snapshot.runs or item in snapshot.equipment)[:MOST]


def head(says: Sequence[Sequence[Said]]) -> str:
    """*1 found, 2 not judged, 12 passed, 30 do not apply*."""
    every = [said for some in says for said in some]
    count = {verdict: sum(1 for said in every if said.verdict == verdict) for verdict in VERDICTS}
    parts = [
        ngettext("{n} found", "{n} found", count["found"]).format(n=count["found"]),
        ngettext("{n} not judged", "{n} not judged", count["not judged"]).format(n=count["not judged"]),
        ngettext("{n} passed", "{n} passed", count["passed"]).format(n=count["passed"]),
    ]
    if count["waived"]:
        parts.insert(1, ngettext("{n} waived", "{n} waived", count["waived"]).format(n=count["waived"]))
    away = count["not applicable"]
    parts.append(ngettext("{n} rule does not apply", "{n} rules do not apply", away).format(n=away))
    return ", ".join(parts)


def page_html(snapshot: Snapshot, items: Sequence[str], says: Sequence[Sequence[Said]], *, away: bool) -> str:
    """Thing by thing, grouped by verdict; `away`: rules that do not apply too. Each rule's name leads to its page."""
    made = []
    for item, every in zip(items, says, strict=True):
        made.append(f"<h3>{html.escape(name_of(snapshot, item))}</h3>")
        for verdict in VERDICTS:
            some = [said for said in every if said.verdict == verdict]
            if some and (away or verdict != "not applicable"):
                made.append(f"<p><b>{html.escape(_(HEADINGS[verdict]))}</b></p>")
                made.extend(_line(said, snapshot) for said in some)
    return "".join(made)


def _line(said: Said, snapshot: Snapshot) -> str:
    lead = ""
    if said.verdict == "passed" and said.margin is not None:
        words = _("{margin} above") if said.passed is not None and said.passed.at_least else _("{margin} left")
        lead = f"<b>{html.escape(words.format(margin=margin_text(said)))}</b> "
    elif said.word is not None:
        lead = f"<b>{html.escape(_(WORD_NAMES[said.word]))}</b> "
    rule = f'<a href="{html.escape(said.rule, quote=True)}">{html.escape(said.rule)}</a>'
    return f'<p style="margin-left: 8px">{lead}{rule}: {html.escape(said_text(said, snapshot))}</p>'
