"""Calculation sheets on paper: blocks of circuits, load tables, the summary, tables for other programs."""
