"""Pure computations: no Django, no clock, no database. What day it is comes in as an argument."""
