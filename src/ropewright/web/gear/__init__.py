"""The gear cache: items, states, inspections, use, issues, events."""
