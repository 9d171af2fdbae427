"""From bytes to a table of readings, or a refusal by name."""
