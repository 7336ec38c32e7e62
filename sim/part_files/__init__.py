"""Files in which a part is drawn (STEP, DXF, STL, 3MF, OBJ, GLB), and the outline of the body of revolution in them."""
