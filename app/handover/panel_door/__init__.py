"""The panel-door schematic: what a crew needs on the back of a panel's door, at true size."""
