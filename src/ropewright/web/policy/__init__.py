"""The team's rules, in versions."""
