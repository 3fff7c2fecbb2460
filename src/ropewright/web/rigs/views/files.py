"""A rig as a file: its card, its picture, its text; taking one in, and putting one away."""
