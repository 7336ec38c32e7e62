"""Programs of a lathe in the format of ISO 6983-1: from their text to the moves of a tool tip."""
