"""The rope bench: what rope is worth today, how far it gives, which to take, how to cut, stow and tie it."""
