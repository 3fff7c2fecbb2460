"""Tests, one folder for each package of src/ropewright."""
