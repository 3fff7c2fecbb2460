"""The catalogue: shipped figures and a team's own file."""
