"""Which belt fits: designations, catalogues, every belt judged."""
