"""What if: a rig's numbers with some of its figures changed, nothing saved."""
