"""Two or three rigs side by side."""
