"""Every table that a command prints."""
