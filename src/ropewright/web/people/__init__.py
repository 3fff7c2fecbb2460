"""The roster: people, their masses, what they must have and have shown."""
