"""The pages of accounts, one subject a module."""
