"""What goes into each box, when is it posted, and does it keep until it is opened?"""
