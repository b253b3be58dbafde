"""The walk: its legs, the walkers, their pace, their energy need and their load."""
