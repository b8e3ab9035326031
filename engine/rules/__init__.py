"""The rule catalogue: one file a rule, in folders by family."""

from __future__ import annotations

from engine.rules.rule import Example, Rule, UnknownRule, rules

__all__ = ["Example", "Rule", "UnknownRule", "rules"]
