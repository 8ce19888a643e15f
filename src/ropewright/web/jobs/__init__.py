"""The pages of jobs: list, guided form, text, plan, past states."""
