"""Two pairs of wheels on Tobin's bicycle, invented for teaching: nothing here was measured.

The drag area of the shallow pair rises with yaw; that of the deep pair falls, and turns up again
at the last angle, where the air no longer follows the rim. The shapes are those that people
find; the numbers belong to no wheel.
"""

import numpy as np

from dragwork.physics.drag import YawCurve
from dragwork.units import deg

YAW = deg(np.array([0.0, 5.0, 10.0, 15.0, 20.0]))

# m2, rider and bicycle and wheels together, one value an angle of YAW
SHALLOW = YawCurve(YAW, [0.3200, 0.3208, 0.3228, 0.3250, 0.3268])
DEEP = YawCurve(YAW, [0.3190, 0.3185, 0.3165, 0.3145, 0.3160])

WHEELS = {"shallow wheels": SHALLOW, "deep wheels": DEEP}
