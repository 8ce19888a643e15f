"""The command line: each command parses, calls one library function and shows what came back."""
