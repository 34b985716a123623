"""An invented yard with eighteen months of life, the same every time, counted back from today.

Its place, people, prices and wood are made up. `story.py` tells what happened; what its stacks weigh comes from
the drying model run on the yard's own air with constants that the estimate does not know (`truth.py`).
"""
