"""The usual cautions, in one place: screen, every report, every sheet."""

from __future__ import annotations

from engine.words import N_

__all__ = ["CAUTIONS"]

# the last paragraph is printed bold
CAUTIONS = (
    N_(
        "This program assists a competent person; it does not certify. Rules differ by flag, class society, insurer "
        "and country; the local code, the equipment maker's instructions and a licensed or certified person's "
        "judgement prevail. A finding absent is not proof of safety: only what is drawn and filled in is judged."
    ),
    N_("Battery fault currents and AC on boats kill. Isolate and prove dead before work."),
)
