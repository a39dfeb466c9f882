"""From what a person can measure at the engine to a layout with its uncertainty.

The data's way: `survey` (keys and records), `read` and `problems`, `equations` with the camera
`views`, `start` (initial guesses), `adjust` (least squares), `mirrors`, `outliers`, `doubts`,
`answer` (records that come out, and words), and `result`, which runs them all.

from beltpath import measure

survey = measure.parse(text)
measurement = measure.solve(survey)
print(measurement.centres["pump"], measurement.suspects)
print(measurement.layout_text())
"""

from beltpath.measure.answer import Measurement, measurement_answer
from beltpath.measure.read import parse
from beltpath.measure.result import solve
from beltpath.measure.survey import Survey

__all__ = ["Measurement", "Survey", "measurement_answer", "parse", "solve"]
