"""How dates and times are written: the same way everywhere, so that no day is taken for a month."""
