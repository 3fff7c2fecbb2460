"""Tags of documents."""
