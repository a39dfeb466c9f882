"""From what a person can measure at the engine to a layout with its uncertainty.

The data's way: `survey` (keys and records), `read` and `problems`, `equations` with the camera
`views`, `start` (initial guesses), `adjust` (least squares), `mirrors`, `outliers`, `doubts`,
`answer` (records that come out, and words), and `result`, which runs them all.

from beltpath import survey as measure

survey = measure.parse(text)
measurement = measure.solve(survey)
print(measurement.centres["pump"], measurement.suspects)
print(measurement.layout_text())
"""

from beltpath.survey.answer import Measurement, measurement_answer
from beltpath.survey.read import parse
from beltpath.survey.result import solve
from beltpath.survey.survey import Survey

__all__ = ["Measurement", "Survey", "measurement_answer", "parse", "solve"]
