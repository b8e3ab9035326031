"""Findings as JSON and as SARIF 2.1.0 (OASIS Standard, 27 March 2020). Machine words stay English in any language.

No time stamp and no path but the one given: the same drawing gives the same bytes.
"""

from __future__ import annotations

import os
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

import msgspec

from engine.cautions import CAUTIONS
from engine.check import CheckResult
from engine.findings import WORDS, Figure, Finding, NotJudged, Passed, Word
from engine.installation.model import TABLES
from engine.installation.records import Waiver
from engine.judged_by import edition_note
from engine.rules import Rule, rules
from engine.rules.own import OwnRule, as_rule
from engine.version import version

__all__ = ["as_json", "as_sarif", "dumps", "passed_json"]

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
LEVELS: dict[Word, str] = {"danger": "error", "warning": "warning", "caution": "warning", "notice": "note"}
KINDS = {letter: table for table, (_cls, letter) in TABLES.items()}  # what an id's first letter stands for
FINGERPRINT = "linewright/v1"


def dumps(document: Any) -> bytes:
    """A report as UTF-8 text, two spaces, one newline at the end.

    The name of a file may be bytes that are no text (POSIX): "?" stands for each, as on a terminal.
    """
    try:
        text = msgspec.json.encode(document)
    except UnicodeEncodeError:
        text = msgspec.json.encode(_as_text(msgspec.to_builtins(document)))
    return msgspec.json.format(text, indent=2) + b"\n"


def _as_text(value: Any) -> Any:
    if isinstance(value, str):
        return value.encode("utf-8", "replace").decode()
    if isinstance(value, dict):
        return {_as_text(key): _as_text(held) for key, held in value.items()}
    return [_as_text(held) for held in value] if isinstance(value, list | tuple) else value


# -- JSON -----------------------------------------------------------------------------------------------------------
def as_json(result: CheckResult, file: str, edits: Mapping[str, Sequence[str]] | None = None) -> dict[str, Any]:
    """One file's result. Keys and words are for ever; `waived` and the `undecided` mark come beside the findings.

    `edits`: those offered for a finding, in words, by its key; they stand beside its `fixes`.
    """
    return (
        {
            "file": file,
            "book": result.book,
            "edition": result.edition,
            "findings": [
                _finding(f) if edits is None else _finding(f) | {"edits": list(edits.get(f.key, ()))}
                for f in result.findings
            ],
            "not_judged": [_gap(g) for g in result.not_judged],
            "waived": [_finding(f) | {"waiver": _waiver(result.waivers[f.waived])} for f in result.waived],
            "passed": [passed_json(p) for p in result.passed],
            "no_clause": list(result.no_clause),
            "assumptions": list(result.assumptions),
            "cautions": list(CAUTIONS),
            "summary": result.counts(),
        }
        | _book(result)
        | _own_rules(result)
        | _resting(result)
    )


def _book(result: CheckResult) -> dict[str, Any]:
    """What the drawing records of its book where that differs, and what a yard's own book changes; else nothing."""
    note = edition_note(result)
    made: dict[str, Any] = {"recorded": result.recorded, "edition_note": note} if note else {}
    return made | ({"changed": list(result.changed)} if result.changed else {})


def _own_rules(result: CheckResult) -> dict[str, Any]:
    """The person's own rules that ran and those that were disabled, where there are any."""
    if not result.own and not result.disabled:
        return {}
    return {
        "own_rules": [{"rule": own.slug, "from": own.where} for own in result.own],
        "disabled": [{"rule": f.rule, "from": f.where, "why": f.why} for f in result.disabled],
    }


def _resting(result: CheckResult) -> dict[str, Any]:
    """Values that are only assumed and what is said only because of them, where there are any."""
    if not result.assumed:
        return {}
    return {
        "assumed": [
            {"on": v.name, "table": v.table, "id": v.item, "field": v.field, "value": v.value, "stays": v.stays}
            for v in result.assumed
        ],
        "resting": [
            {
                "fingerprint": r.key,
                "rule": r.rule,
                "what": r.what,
                "without": r.without,
                "designations": list(r.designations),
                "values": [{"on": v.name, "id": v.item, "field": v.field} for v in r.values],
                "named": r.named,
            }
            for r in result.resting
        ],
    }


def _rests_on(result: CheckResult) -> dict[str, list[str]]:
    """By key of a finding, the assumed values it rests on: *W3.length_m*."""
    return {r.key: [f"{v.name}.{v.field}" for v in r.values] for r in result.resting if r.what != "passed"}


def _finding(finding: Finding) -> dict[str, Any]:
    made: dict[str, Any] = {
        "fingerprint": finding.key,
        "rule": finding.rule,
        "word": finding.word,
        "designations": list(finding.designations),
        "condition": finding.condition,
        "message": finding.message,
        "figures": _figures(finding.figures),
        "clause": finding.clause,
        "confirmed": finding.confirmed,
        "law_here": finding.law_here,
        "fixes": list(finding.fixes),
    }
    if finding.arithmetic:
        made["arithmetic"] = finding.arithmetic
    if finding.undecided:
        made["undecided"] = True
    if finding.waiver_note:
        made["waiver_note"] = finding.waiver_note
    return made


def _figures(figures: Sequence[Figure]) -> dict[str, Any]:
    return {figure.name: {"value": figure.value, "unit": figure.unit} for figure in figures}


def _gap(gap: NotJudged) -> dict[str, Any]:
    return {
        "rule": gap.rule,
        "would_be": gap.would_be,
        "designations": list(gap.designations),
        "missing": list(gap.missing),
        "why": gap.why,
    }


def passed_json(passed: Passed) -> dict[str, Any]:
    """What was proved. `found` and `limit` are in `unit`; `margin` is the share of the limit left, 0 just at it."""
    found, limit = passed.found, passed.limit
    return {
        "rule": passed.rule,
        "designations": list(passed.designations),
        "found": None if found is None else {"name": found.name, "value": found.value},
        "limit": None if limit is None else {"name": limit.name, "value": limit.value},
        "unit": found.unit if found is not None else "",
        "margin": passed.margin,
        "at_least": passed.at_least,
        "condition": passed.condition,
        "message": passed.message,
        "arithmetic": passed.arithmetic,
    }


def _waiver(waiver: Waiver) -> dict[str, str]:
    return {
        "reason": waiver.reason,
        "who": waiver.who,
        "date": waiver.date,
        "review": waiver.review,
        "clause": waiver.clause,
        "intent": waiver.intent,
    }


# -- SARIF ----------------------------------------------------------------------------------------------------------
def as_sarif(results: Sequence[tuple[str, CheckResult]]) -> dict[str, Any]:
    """A log with one run for each file, pairs of (file, result)."""
    return {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(file, result) for file, result in results]}


def _run(file: str, result: CheckResult) -> dict[str, Any]:
    named = sorted({*result.rules, *(f.rule for f in result.findings), *(g.rule for g in result.not_judged)})
    number = {slug: i for i, slug in enumerate(named)}
    uri = _uri(file)
    rests = _rests_on(result)
    driver = {
        "name": "Linewright",
        "version": version(),
        "fullDescription": {"text": " ".join(CAUTIONS)},
        "rules": [_rule(_rule_of(slug, result), result) for slug in named],
    }
    invocation: dict[str, Any] = {"executionSuccessful": not result.stopped}
    if result.stopped:
        # 3.20.21: conditions met while the tool ran, apart from what it found
        disabled = {fault.rule: fault.told() for fault in result.disabled}
        invocation["toolExecutionNotifications"] = [
            {
                "level": "error",
                "message": {"text": disabled.get(slug, f"The rule {slug} was stopped by a fault of the program.")},
                "associatedRule": {"id": slug, "index": number[slug]},
            }
            for slug in dict.fromkeys(result.stopped)
        ]
    return {
        "tool": {"driver": driver},
        "invocations": [invocation],
        "artifacts": [{"location": {"uri": uri}}],
        "results": [
            *(_result(f, number, uri, None, rests) for f in result.findings),
            *(_result(f, number, uri, result.waivers[f.waived], rests) for f in result.waived),
            *(_open_result(g, number, uri) for g in result.not_judged),
            *(_pass_result(p, number, uri) for p in result.passed),
        ],
        "properties": {
            "book": result.book,
            "edition": result.edition,
            "noClause": list(result.no_clause),
            "assumptions": list(result.assumptions),
            "summary": result.counts(),
        }
        | _resting(result),
    }


def _rule_of(slug: str, result: CheckResult) -> Rule:
    """One of the program, or one of the person's own."""
    if slug in rules():
        return rules()[slug]
    for own in result.own:
        if own.slug == slug:
            return as_rule(own)
    word = next((fault.word for fault in result.disabled if fault.rule == slug), WORDS[0])
    return as_rule(OwnRule(slug, word, "own rule that was disabled", "Own rule that was disabled.", slug))


def _rule(rule: Rule, result: CheckResult) -> dict[str, Any]:
    first, _blank, rest = rule.doc.partition("\n")
    return {
        "id": rule.slug,
        "shortDescription": {"text": first.strip() or rule.title},
        "fullDescription": {"text": rule.title[:1].upper() + rule.title[1:] + "."},
        "help": {"text": rest.strip() or first.strip()},
        "defaultConfiguration": {"level": LEVELS[rule.word]},
        "properties": {"word": rule.word, "family": rule.family, "clauseInBook": rule.slug not in result.no_clause},
    }


def _result(
    finding: Finding, number: dict[str, int], uri: str, waiver: Waiver | None, rests: dict[str, list[str]]
) -> dict[str, Any]:
    text = finding.message
    if finding.condition:
        text = f"{text} Condition: {finding.condition}."
    made: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": number[finding.rule],
        "kind": "fail",
        "level": LEVELS[finding.word],
        "message": {"text": text},
        "locations": [_location(finding.designations, finding.ids, uri)],
        "partialFingerprints": {FINGERPRINT: finding.key},
        # 3.27.23: present in every result of a run, or in none
        "suppressions": [] if waiver is None else [_suppression(waiver)],
        "properties": {
            "word": finding.word,
            "condition": finding.condition,
            "positions": [list(p) for p in finding.positions],
            "figures": _figures(finding.figures),
            "arithmetic": finding.arithmetic,
            "clause": finding.clause,
            "confirmed": finding.confirmed,
            "lawHere": finding.law_here,
            "fixes": list(finding.fixes),
            "undecided": finding.undecided,
        },
    }
    if finding.key in rests:
        made["properties"]["restsOnAssumed"] = rests[finding.key]
    return made


def _open_result(gap: NotJudged, number: dict[str, int], uri: str) -> dict[str, Any]:
    """3.27.9: *open* is a rule evaluated without enough information to decide; 3.27.10: its level is then *none*."""
    text = gap.why[:1].upper() + gap.why[1:] if gap.why else "Not judged"
    if gap.missing:
        text = f"{text}. Missing: {', '.join(gap.missing)}"
    return {
        "ruleId": gap.rule,
        "ruleIndex": number[gap.rule],
        "kind": "open",
        "level": "none",
        "message": {"text": f"{text}."},
        "locations": [_location(gap.designations, gap.ids, uri)],
        # fields without the names of their records: another label makes no other question
        "partialFingerprints": {
            FINGERPRINT: "|".join((gap.key, ",".join(m.rpartition(".")[2] for m in gap.missing), "not judged"))
        },
        "suppressions": [],
        "properties": {"wouldBe": gap.would_be, "missing": list(gap.missing)},
    }


def _pass_result(passed: Passed, number: dict[str, int], uri: str) -> dict[str, Any]:
    """3.27.9: *pass* is a rule evaluated and met; 3.27.10: its level is then *none*."""
    text = passed.message
    if passed.found is not None and passed.limit is not None:
        told = [
            f"{figure.name} {'without limit' if figure.value is None else f'{figure.value:.6g} {figure.unit}'.strip()}"
            for figure in (passed.found, passed.limit)
        ]
        text = f"{told[0]}, {told[1]}{' or more' if passed.at_least else ' or less'}."
    return {
        "ruleId": passed.rule,
        "ruleIndex": number[passed.rule],
        "kind": "pass",
        "level": "none",
        "message": {"text": text},
        "locations": [_location(passed.designations, passed.ids, uri)],
        "partialFingerprints": {FINGERPRINT: "|".join((passed.rule, ",".join(passed.ids), passed.detail, "passed"))},
        "suppressions": [],
        "properties": {"margin": passed.margin, "condition": passed.condition, "atLeast": passed.at_least},
    }


def _suppression(waiver: Waiver) -> dict[str, Any]:
    """3.35: the waiver stands in the drawing itself, and was accepted by whoever signed it."""
    parts = [waiver.reason, f"by {waiver.who}" if waiver.who else "", waiver.date, waiver.intent]
    if waiver.review:
        parts.append(f"to be looked at again by {waiver.review}")
    return {
        "kind": "inSource",
        "status": "accepted",
        "justification": ", ".join(p for p in parts if p),
    }


def _location(designations: Sequence[str], ids: Sequence[str], uri: str) -> dict[str, Any]:
    place: dict[str, Any] = {"physicalLocation": {"artifactLocation": {"uri": uri, "index": 0}}}
    logical = []
    for name, item in zip(designations, ids, strict=False):
        kind = KINDS.get(item[:1], "records")
        logical.append({"name": name, "fullyQualifiedName": f"{kind}/{item}", "kind": kind.rstrip("s")})
    if logical:
        place["logicalLocations"] = logical
    return place


def _uri(file: str) -> str:
    """A file name as a URI reference: absolute paths as file URIs, others relative (3.4.3)."""
    path = PurePath(file)
    return path.as_uri() if path.is_absolute() else quote(os.fsencode(path.as_posix()))
