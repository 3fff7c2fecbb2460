"""The pages of people, one subject a module."""
