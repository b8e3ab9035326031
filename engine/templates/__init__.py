"""Templates: sub-assemblies placed in one go, each an edit that passes the rules of its book by itself."""

from __future__ import annotations

from engine.templates.question import Answers, Question, answers, shown
from engine.templates.template import Fitted, Template, fit, template_named, templates, uses_metric

__all__ = [
    "Answers",
    "Fitted",
    "Question",
    "Template",
    "answers",
    "fit",
    "shown",
    "template_named",
    "templates",
    "uses_metric",
]
