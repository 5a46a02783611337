"""Is this reading usual for this box, and since when does a log show it behaving otherwise?"""
