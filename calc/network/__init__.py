"""The crossover as an electrical network: its parts, what it does, where to begin, what a meter reads."""
