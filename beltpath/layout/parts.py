"""Old name of `beltpath.layout.records` and of the words in `beltpath.layout.keys`."""

from beltpath.layout.keys import *  # noqa: F403
from beltpath.layout.records import *  # noqa: F403
