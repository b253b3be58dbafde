"""What is done in the kitchen before the walk, and by when?"""
