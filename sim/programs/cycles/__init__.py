"""Cycles of lathes: from the numbers of one block, or a contour, to the moves that the machine makes.

Geometry only: lengths in mm, x as radius, feeds in mm/rev; reading words is not done here. What a control leaves to its
own parameters comes in as a number.
"""
