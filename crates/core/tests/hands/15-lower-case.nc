o55 (face the top)
(2 inch face mill)
g20g90g54
t12m6
m3s1200
g0x-2y1z.1
g1z-.03f20
x6
g0z1
m30
