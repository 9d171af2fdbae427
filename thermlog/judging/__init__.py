"""From curves to verdicts: one vehicle, a fleet, before and after."""
