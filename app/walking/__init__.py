"""The walk aboard as a list: text for a terminal, tables to take along, JSON for machines."""
