"""What the commands say: words, tables, typed answers and their schemas."""
