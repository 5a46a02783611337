"""Materials, plants, devices, animal groups and defaults: every number with its range, source and grade.

>>> from terralab import materials
>>> materials.get("substrates", "loam topsoil").typical("theta_s")
0.43
"""

from terralab.materials.loader import TableError, get, names, read_table, tables
from terralab.materials.number import GRADES, Entry, Number
from terralab.materials.plain import PLAIN
from terralab.materials.schema import UNITS

__all__ = ["GRADES", "PLAIN", "UNITS", "Entry", "Number", "TableError", "get", "names", "read_table", "tables"]
