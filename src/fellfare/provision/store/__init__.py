"""What is the food kept in at night, and how is there room?"""
