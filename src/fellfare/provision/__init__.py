"""What to buy, dry, weigh, bag, box and carry."""
