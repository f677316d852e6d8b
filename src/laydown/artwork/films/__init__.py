"""Films: one-bit rows to files that a film printer takes, with marks, words and a tone strip."""
