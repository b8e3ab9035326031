"""The rule catalogue: one file a rule, in folders by family."""

from __future__ import annotations

from engine.rules.rule import Example, Rule, rules

__all__ = ["Example", "Rule", "rules"]
