"""What rules say of things, as checks of a sheet: found, limit, clause, margin; what passed as well."""

from __future__ import annotations

from collections.abc import Iterable

from engine.calculations.results import Check, Formula, figure
from engine.check import CheckResult
from engine.findings import Figure, Finding, NotJudged, Passed, Remark
from engine.study import Study
from engine.words import N_, _

__all__ = ["WHAT", "Judged"]

# what each rule compares, as short as a sheet wants it
WHAT = {
    "overloaded": N_("Ampacity"),
    "rating-above-ampacity": N_("Device before it"),
    "no-protection": N_("Protection"),
    "far-from-source": N_("Device near source"),
    "far-end-unprotected": N_("Fed at both ends"),
    "too-small": N_("Smallest size"),
    "slow-to-clear": N_("Fault withstand"),
    "parallel-unequal": N_("In parallel"),
    "drop-too-high": N_("Voltage drop"),
    "dips-on-start": N_("While starting"),
    "rating-below-load": N_("Rating, load"),
    "cannot-break-fault": N_("Breaking capacity"),
    "not-selective": N_("Selectivity"),
    "rated-below-voltage": N_("Rated voltage"),
    "source-device-too-large": N_("Device of a source"),
    "stalled-motor-held": N_("Stalled motor"),
    "equipment-over-protected": N_("Largest device"),
    "bus-overloaded": N_("Rating of the bus"),
    "bypass-unprotected": N_("By-pass"),
    "earth-conductor-too-small": N_("Earth conductor"),
    "source-overloaded": N_("Continuous rating"),
    "bank-overdrawn": N_("Discharge limit"),
    "bank-too-small": N_("Autonomy"),
    "recharge-too-slow": N_("Recharge"),
}
# passes without figures say nothing where a device is compared with the conductor
_SAID_BY_DEVICE = ("no-protection", "far-from-source", "far-end-unprotected")
_ONLY_IF_NOT = ("bypass-unprotected",)  # a pass says only that there is no such thing

_NAMED = 6  # fields named of a question left open for many things


class Judged:
    """What a check said, by thing and rule."""

    def __init__(self, study: Study, result: CheckResult) -> None:
        self.study = study
        self._of: dict[tuple[str, str], list[tuple[Remark, bool]]] = {}
        self._no_clause = set(result.no_clause)
        for finding in result.findings:
            self._keep(finding, False)
        for finding in result.waived:
            self._keep(finding, True)
        for gap in result.not_judged:
            self._keep(gap, False)
        for passed in result.passed:
            self._keep(passed, False)

    def _keep(self, remark: Remark, waived: bool) -> None:
        for item in dict.fromkeys(remark.ids):
            self._of.setdefault((item, remark.rule), []).append((remark, waived))

    def remarks(self, item: str, rule: str) -> list[Remark]:
        """What a rule says of a thing."""
        return [remark for remark, _waived in self._of.get((item, rule), [])]

    def checks(
        self, item: str, rules: Iterable[str], formulas: dict[str, tuple[Formula, ...]] | None = None, own: bool = False
    ) -> list[Check]:
        """The checks that rules make of a thing; with `own` only what they say of it first.

        `formulas`: by rule, what stands before its first check.
        """
        made: list[Check] = []
        compared = any(
            isinstance(remark, Finding | Passed) and _figures(remark)[0] is not None
            for remark in self.remarks(item, "rating-above-ampacity")
        )
        for rule in rules:
            before = (formulas or {}).get(rule, ())
            remarks = self._of.get((item, rule), [])
            # a formula stands by what it gave
            remarks = sorted(remarks, key=lambda one: isinstance(one[0], NotJudged))
            for remark, waived in remarks:
                if rule in _ONLY_IF_NOT and isinstance(remark, Passed):
                    continue
                if own and isinstance(remark, Finding | Passed) and remark.ids[:1] != (item,):
                    continue
                if (
                    isinstance(remark, Passed)
                    and compared
                    and rule in _SAID_BY_DEVICE
                    and (remark.found is None or remark.limit is None)
                ):
                    continue
                made.append(self.check(remark, item, before, waived))
                before = ()
            if before:
                clause, confirmed = ("", False) if rule in self._no_clause else self._booked(rule)
                none = (_("Nothing to compare it with."),)
                made.append(Check(_(WHAT[rule]), rule, before, none, clause=clause, confirmed=confirmed))
        return made

    def check(self, remark: Remark, item: str, formulas: tuple[Formula, ...] = (), waived: bool = False) -> Check:
        """One remark as a check."""
        what = _(WHAT.get(remark.rule, remark.rule))
        if isinstance(remark, NotJudged):
            why = remark.why[:1].upper() + remark.why[1:] + "." if remark.why else ""
            # of a question left open for several things, the fields of this one first
            name = self.study.name(item)
            own = [field for field in remark.missing if field.rpartition(".")[0] == name]
            every = tuple(dict.fromkeys((*own, *remark.missing)))
            missing = every[: max(len(own), _NAMED)]
            return Check(
                what,
                remark.rule,
                formulas,
                (why,) if why else (),
                clause=self.clause(remark)[0],
                confirmed=self.clause(remark)[1],
                verdict="not judged",
                word=remark.would_be,
                missing=missing,
                ids=remark.ids,
                more_missing=len(every) - len(missing),
            )
        if remark.detail == "start":
            what = _("{what}, start").format(what=what)
        found, limit, unit = _figures(remark)
        clause, confirmed = self.clause(remark)
        notes = [remark.message] if remark.message else []
        if isinstance(remark, Passed) and found is None:
            notes += [
                _("{what}: without end").format(what=_(each.name)) if each.value is None else _figured(each)
                for each in (remark.found, remark.limit)
                if each is not None
            ]
        if remark.arithmetic and not formulas:
            notes.append(remark.arithmetic)
        passed = isinstance(remark, Passed)
        made = Check(
            what,
            remark.rule,
            formulas,
            tuple(notes),
            found,
            limit,
            unit,
            remark.at_least if isinstance(remark, Passed) else remark.rule in _AT_LEAST,
            clause,
            confirmed,
            "in order" if passed else "waived" if waived else "fails",
            None if isinstance(remark, Passed) else remark.word,
            remark.condition,
            beside=", ".join(name for name, each in zip(remark.designations, remark.ids, strict=False) if each != item),
            ids=remark.ids,
        )
        if not passed and (made.margin or 0.0) > 0:  # its first two figures are no figure and its limit
            made = made._replace(found=None, limit=None, unit="")
        return made

    def clause(self, remark: Remark) -> tuple[str, bool]:
        """The clause a remark rests on, `""` where the book has none, and whether its text was read."""
        if isinstance(remark, Finding) and remark.clause:
            return remark.clause, remark.confirmed
        if remark.rule in self._no_clause or (isinstance(remark, Finding) and remark.beyond_clause):
            return "", False
        return self._booked(remark.rule)

    def _booked(self, rule: str) -> tuple[str, bool]:
        return self.study.book.clause(rule), self.study.book.confirmed(rule)


_AT_LEAST = (
    "not-selective",
    "bank-too-small",
    "too-small",
    "earth-conductor-too-small",
    "dips-on-start",
    "stalled-motor-held",
    "rated-below-voltage",
)


def _figured(each: Figure) -> str:
    """*required: 0.5 s*."""
    return f"{_(each.name)}: {figure(each.value or 0.0)} {each.unit}".rstrip()


def _figures(remark: Finding | Passed) -> tuple[float | None, float | None, str]:
    """What was found, what is allowed, their unit; nothing where they are not of one kind."""
    if isinstance(remark, Passed):
        found, limit = remark.found, remark.limit
    else:
        found, limit = (*remark.figures[:2], None, None)[:2]
    if found is None or limit is None or found.unit != limit.unit or found.value is None:
        return None, None, ""
    return found.value, limit.value, found.unit
