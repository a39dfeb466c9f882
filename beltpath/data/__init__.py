"""The tables that ship with the program, a source on every row, and their readers."""
