"""Stand-in people: a parametric body, posed, dressed and groomed.

body = build_person(Figure(sex="female", stature_percentile=50), Pose(seat_height_m=0.45))
"""

from previz.geometry.people.anthropometry import ANSUR_II_MM
from previz.geometry.people.figure import Body, Figure, Pose, Strands
from previz.geometry.people.person import build_person

__all__ = ["ANSUR_II_MM", "Body", "Figure", "Pose", "Strands", "build_person"]
