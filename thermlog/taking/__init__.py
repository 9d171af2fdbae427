"""A walk while it is taken: entries, journal, proposed next wheel, questions, live answers."""
