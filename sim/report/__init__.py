"""Every JSON that a command prints."""
