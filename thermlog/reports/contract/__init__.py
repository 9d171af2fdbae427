"""The objects that JSON is written from, and of whose types its schemas are made."""
