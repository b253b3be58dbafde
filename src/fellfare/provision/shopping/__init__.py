"""What is bought, in which packs, and what is left over?"""
