%
o1020 (lower case, from a memory card)
n5 g97 s1000 m3 t0101
n10g0x42.z1.
n15   g1   z -10.5   f .2
n20x45.z-12.
n25 g0 x50. z1.
n30g0x300.z300.m5
n35 m30
%
