"""Which survey is told of, which deficiencies belong to it, what has become of those of the surveys before."""

from __future__ import annotations

from typing import NamedTuple

from engine.deficiencies import in_order
from engine.installation import Deficiency, Snapshot, Survey
from engine.naming import title_of
from engine.words import _

__all__ = ["Scope", "SurveyFault", "newest", "scope_of"]


class SurveyFault(ValueError):
    """A survey that is not there, or follows none; the message is for the person."""


class Told(NamedTuple):
    """A deficiency under its id."""

    id: str
    record: Deficiency


class Scope(NamedTuple):
    """A survey and its deficiencies, worst class first.

    `own`: noted in it; of no survey named too, so that none is lost. `before`: noted in the surveys it follows, those
    left out that were closed before the last of them was over.
    """

    id: str
    survey: Survey
    follows: Survey | None
    own: tuple[Told, ...]
    before: tuple[Told, ...]
    closed_earlier: int  # how many were left out

    def earlier(self, *statuses: str) -> tuple[Told, ...]:
        """Those of the surveys before that stand so."""
        return tuple(each for each in self.before if each.record.status in statuses)

    @property
    def every(self) -> tuple[Told, ...]:
        """All that is told."""
        return (*self.own, *self.before)


def newest(snapshot: Snapshot) -> str:
    """Id of the newest survey: by its date, then as they were made; "" where there is none."""
    surveys = snapshot.surveys
    return max(surveys, key=lambda item: (surveys[item].date, _made(item)), default="")


def _made(item: str) -> int:
    return int(item[1:]) if item[1:].isdecimal() else 0


def scope_of(snapshot: Snapshot, asked: str = "", *, follow_up: bool = False) -> Scope:
    """The survey asked for by id, name or date, the newest where none is. Raises `SurveyFault`."""
    item = _found(snapshot, asked)
    survey = snapshot.surveys[item]
    before = _followed(snapshot, item)
    if follow_up and not before:
        raise SurveyFault(
            _("survey {name} does not say which survey it follows up").format(name=_called(snapshot, item))
        )
    every = [Told(i, d) for i, d in in_order(snapshot)]
    known = snapshot.surveys
    own = tuple(each for each in every if each.record.survey == item or each.record.survey not in known)
    follows = known[before[0]] if before else None
    earlier = [each for each in every if each.record.survey in before]
    since = "" if follows is None else follows.until or follows.date
    kept = tuple(each for each in earlier if not _over(each.record, since))
    return Scope(item, survey, follows, own, kept, len(earlier) - len(kept))


def _over(deficiency: Deficiency, since: str) -> bool:
    """Whether it was closed before the day; not where its day is not recorded."""
    return deficiency.status == "closed" and bool(deficiency.closed) and deficiency.closed <= since


def _found(snapshot: Snapshot, asked: str) -> str:
    surveys = snapshot.surveys
    if not surveys:
        raise SurveyFault(_("no survey is recorded in this drawing"))
    if not asked:
        return newest(snapshot)
    if asked in surveys:
        return asked
    wanted = asked.strip().casefold()
    found = [i for i, s in surveys.items() if wanted in (s.name.strip().casefold(), s.date)]
    if len(found) == 1:
        return found[0]
    names = ", ".join(_called(snapshot, item) for item in surveys)
    if found:
        raise SurveyFault(
            _("several surveys are called {asked!r}; there are: {names}").format(asked=asked, names=names)
        )
    raise SurveyFault(_("there is no survey {asked!r}; there are: {names}").format(asked=asked, names=names))


def _called(snapshot: Snapshot, item: str) -> str:
    name = title_of(snapshot, "surveys", item)
    return name if name == item else f"{name} ({item})"


def _followed(snapshot: Snapshot, item: str) -> list[str]:
    """The surveys it follows, the last first."""
    found: list[str] = []
    at = snapshot.surveys[item].follows
    while at in snapshot.surveys and at not in found and at != item:
        found.append(at)
        at = snapshot.surveys[at].follows
    return found
