; profile of the plate
G20 G90 G17 G94 G54 ; modes
T1 M6 ; 1/2 end mill
M3 S2000
G0 X-.75 Y-.25
Z.1 ; above
;---- cut
G1 Z-.25 F10.
X3.25 F20.
Y2.25
X-.25
Y-.75
G0 Z1.
M5 ; stop
M2
