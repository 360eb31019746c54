"""Every number that is not arithmetic, with its unit, its kind and its source.

One TOML file a subject. A row is ``[key.path]`` with ``value``, ``unit``, ``kind``,
``source`` and, where it helps, ``where`` (the place in the source) and ``note``.
"""

from suspirium.tables.loader import KINDS, Row, Table, load, load_text, parse

__all__ = ["KINDS", "Row", "Table", "load", "load_text", "parse"]
