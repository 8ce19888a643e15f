"""The pages: parse, call, show; no engineering in them."""
