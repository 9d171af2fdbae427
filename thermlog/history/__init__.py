"""What a depot remembers: checks kept in a database, and what many of them together tell."""
