"""What is worked out and kept, in the request or beside it."""
