"""Pages of people: who they are, what they learned and showed, what is missing."""
