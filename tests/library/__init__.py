"""The calls from Python."""
