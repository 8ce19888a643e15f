"""The roof drawing: a plan to draw and drag in, with the falls worked out while something moves."""
