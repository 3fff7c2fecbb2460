"""The versions of a rig, and what differs between them."""
