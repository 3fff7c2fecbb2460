"""Words that the pages of rigs need beside those of every page."""
