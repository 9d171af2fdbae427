"""From a verdict to causes, the next check, cautions and severity."""
