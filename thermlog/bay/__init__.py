"""Taking readings on phones and tablets beside the vehicle: a small server for the shop's own network."""
