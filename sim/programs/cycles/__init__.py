"""Cycles of a lathe: from a contour and a few numbers to the moves that the machine makes. They know no words."""
