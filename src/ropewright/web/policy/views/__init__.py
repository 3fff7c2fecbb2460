"""The pages of the team's rules, one subject a module."""
