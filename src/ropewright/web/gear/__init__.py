"""Pages of the record: gear with its life, and what is due."""
