"""Practice: cases with a hidden truth, what somebody commits to, and how right that was."""
