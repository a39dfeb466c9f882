"""From what a person can measure at the engine to a layout with its uncertainty.

from beltpath import measure

survey = measure.parse(text)
measurement = measure.solve(survey)
print(measurement.centres["pump"], measurement.suspects)
print(measurement.layout_text())
"""

from beltpath.measure.answer import measurement_answer
from beltpath.measure.measurement import Measurement
from beltpath.measure.solution import solve
from beltpath.measure.survey import Survey
from beltpath.measure.survey_file import parse

__all__ = ["Measurement", "Survey", "measurement_answer", "parse", "solve"]
