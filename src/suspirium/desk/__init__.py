"""Use cases, one verb each: the only place where music meets disk.

Import the verb's own module (`suspirium.desk.planning`, `.preparing`, `.parish`): planning
alone then loads nothing that only sound or pages need.
"""
