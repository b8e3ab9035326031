"""The survey report: every deficiency by itself, what was measured, what was not inspected, what is not known."""

from __future__ import annotations

import argparse
from pathlib import Path

from app.handover.document import Document
from app.handover.job import Job, Options
from app.handover.survey.wanted import SurveyWanted
from engine.installation import Snapshot
from engine.words import N_, _

__all__ = ["FOR", "IS_WORDED", "NAME", "ORDER", "PURPOSE", "TITLE", "add_arguments", "asked", "fits", "make"]

NAME = "survey"
TITLE = N_("Survey report")
PURPOSE = N_("What a surveyor found, measured and could not inspect, with photographs and cut-outs of the drawing.")
FOR = N_("client, owner, insurer")
ORDER = 15
IS_WORDED = True


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Which survey, and whether the report follows up an earlier one."""
    parser.add_argument(
        "--survey", default="", metavar="NAME", help=_("name, date or id of the survey, the newest where none is given")
    )
    parser.add_argument(
        "--follow-up",
        action="store_true",
        help=_("tell what has become of the deficiencies of the survey that it follows"),
    )
    parser.add_argument(
        "--photographs",
        action="append",
        default=[],
        metavar="FOLDER",
        help=_("folder of the photographs, where it is not the one beside the drawing; may be given several times"),
    )


def asked(arguments: argparse.Namespace, options: Options) -> Options:
    """Options with what the arguments say."""
    from app.photographs import FOLDER
    from engine.files.issues import home

    folders = tuple(arguments.photographs) or (str(home(Path(arguments.file)) / FOLDER),)
    return options._replace(survey=SurveyWanted(arguments.survey, arguments.follow_up, folders))


def fits(snapshot: Snapshot) -> bool:
    """Whether there is a survey to tell of: a pack is without it where there is none."""
    return bool(snapshot.surveys)


def make(job: Job) -> Document:
    """The report of one survey; nothing, and why, where it cannot be told which."""
    from app.handover.survey.scope import SurveyFault, scope_of
    from app.handover.survey.whole import whole

    wanted = job.options.survey
    try:
        scope = scope_of(job.snapshot, wanted.survey, follow_up=wanted.follow_up)
    except SurveyFault as fault:
        return Document(NAME, _(TITLE), gaps=(str(fault),))
    title = _("Follow-up survey report") if wanted.follow_up else _(TITLE)
    return whole(job, scope, NAME, title)
