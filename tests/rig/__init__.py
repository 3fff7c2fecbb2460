"""The rig file."""
