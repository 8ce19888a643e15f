"""Steps that bring an older record's tables up to date; each stays as it was released."""
