"""What stands on the cards and lists that hang in the kitchen or ride in a pocket?"""
