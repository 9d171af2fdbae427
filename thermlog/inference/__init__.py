"""From curves to probabilities and limits, all vehicles of a batch at once."""
