"""Judgements and pictures that the study process tells in parts, put together as the parts arrive."""

from __future__ import annotations

from app.judgement import Judgement, SheetPicture
from app.worker_messages import Drawn, Gaps, Judged, judgement_of
from app.worker_pictures import merged

__all__ = ["Arriving"]


class Arriving:
    """What has arrived and is not whole; what of the sheets was told before."""

    def __init__(self) -> None:
        self._gaps: list[Gaps] = []
        self._judging: Judged | None = None
        self._parts: list[Drawn] = []
        self._shown: dict[str, SheetPicture] = {}  # as the process believes it
        self._told: dict[str, SheetPicture] = {}  # as the window was told last

    def begin(self) -> None:
        """What was half told is given up."""
        self._gaps, self._judging, self._parts = [], None, []

    def open(self) -> None:
        """The process begins anew: it has shown nothing."""
        self._shown.clear()

    def judgement(self, answer: Judged | Gaps) -> Judgement | None:
        """The judgement, once it is whole."""
        if isinstance(answer, Judged):
            self._judging, self._gaps = answer, []
        else:
            self._gaps.append(answer)
        judging = self._judging
        if judging is None or len(self._gaps) != judging.more:
            return None
        self._judging = None
        return judgement_of(judging, self._gaps)

    def picture(self, answer: Drawn, since: int, sheet: str) -> SheetPicture | None:
        """The picture of a sheet once it is whole, where it is not older than request `since`.

        An older one, were it the first there is, would show what is gone. What is the same as before is told of the
        sheet that is looked at only. Raises `ValueError` where the parts contradict each other.
        """
        self._parts.append(answer)
        if answer.more:
            return None
        parts, self._parts = self._parts, []
        picture = self._shown[answer.sheet] = merged(parts, self._shown.get(answer.sheet))
        told = self._told.get(answer.sheet)
        if picture.at < since:
            return None
        if told is not None and sheet != picture.sheet and told._replace(at=picture.at) == picture:
            return None
        self._told[answer.sheet] = picture
        return picture
