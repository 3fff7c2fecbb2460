"""Plans: can we rig it?"""
