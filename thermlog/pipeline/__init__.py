"""From what the user names to findings: settings gathered once, then one run of every step."""
