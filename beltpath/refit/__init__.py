"""The belt off and on: the order of the pulleys, the steps, the cautions."""
