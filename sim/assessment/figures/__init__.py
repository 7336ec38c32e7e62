"""What is known of a setup after it was judged, a module a subject: frozen, read by the views, never recomputed.

Lengths in mm, forces in N, pressures in MPa, speeds in rev/min.
"""
