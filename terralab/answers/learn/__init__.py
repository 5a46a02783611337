"""What does a box's own log tell of it?"""
