"""What follows from a layout by geometry and statics. Opens no file and draws nothing."""
