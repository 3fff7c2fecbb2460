"""The pages of procedures, one subject a file."""
