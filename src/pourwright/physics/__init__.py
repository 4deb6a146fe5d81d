"""Formulae only: SI floats or arrays in and out, no project types.

Use a module of formulae by name: ``from pourwright.physics import heat`` and then ``heat.adiabatic_rise(...)``.

How a docstring is written, so that ``tests/physics/test_dimensions.py`` can call every public function of every
module here with pint quantities and check the dimension of what comes back:

- Each parameter stands on one line, ``density : float [kg/m^3] e.g. 48.06``: the unit as pint reads it, ``[-]`` for
  none, and after ``e.g.`` a value the function accepts (0.5 where left out). An array is ``float or array [m]``, or
  ``array [m] e.g. [[0,0],[2,1]]`` (without blanks) where a bare number will not do.
  A parameter without a dimension to check (``terms : int``, ``closed : bool``) has no bracket; its default is used.
- A result is ``float [Pa]`` under ``Returns``; several results are one such line each, ``width : float [m]``
  (a word beside them is ``regime : str``).
- A constant with a dimension is a module-level name in capitals with its unit in a comment on its own line,
  ``STANDARD_GRAVITY = 9.80665  # [m/s^2]``; the test gives it that unit. A constant without a unit comment is a number.
- Write ``** 0.5`` rather than ``math.sqrt`` where the argument has a dimension; ``math.exp`` of a ratio is fine.
- A function quantities cannot pass through (root finding, compiled code, arrays built inside) is named in that test: it
  is called with floats in two systems of units instead, and the results must differ by the factor of the result's unit.

What no command reaches has no place here: a test asks the call graph (``docs/call_graph.py``).
"""
