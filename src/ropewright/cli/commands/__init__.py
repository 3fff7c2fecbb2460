"""One module for each command, holding a click command named `command`."""

__all__: list[str] = []
