"""What is eaten when, by whom, at the least carried mass, with the proof."""
