"""The rooms of rigs, one subject a file."""
