"""The team's web app: thin over the packages that work rigs out. Nothing above it imports it but `cli`."""
