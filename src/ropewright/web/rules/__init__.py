"""The rules packs: side by side, and clause by clause."""
