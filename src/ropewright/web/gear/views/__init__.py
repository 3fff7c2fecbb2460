"""The views of gear, one subject a module."""
