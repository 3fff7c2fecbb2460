"""Texts that are kept in versions: nothing is overwritten, two savers lose nothing."""
