"""The fall bench: one fall to look at with a class, or two beside each other."""
