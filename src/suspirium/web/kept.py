"""Things made once and kept: the latest so many, by what they were made from."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Lock
from typing import Generic, TypeVar

T = TypeVar("T")


class Kept(Generic[T]):
    """A cache of at most `most` values; who asks for one that is being made waits for it."""

    def __init__(self, most: int, drop: Callable[[T], None] = lambda value: None) -> None:
        """`drop` is told each value that is not kept any longer."""
        self._most = most
        self._drop = drop
        self._values: OrderedDict[Hashable, T] = OrderedDict()
        self._making: dict[Hashable, Lock] = {}
        self._lock = Lock()

    def get(self, key: Hashable, make: Callable[[], T]) -> T:
        """The value for `key`, made now if it is not there; what fails is not kept."""
        with self._lock:
            if key in self._values:
                self._values.move_to_end(key)
                return self._values[key]
            making = self._making.setdefault(key, Lock())
        with making:
            with self._lock:
                if key in self._values:
                    return self._values[key]
            try:
                value = make()
            finally:
                with self._lock:
                    self._making.pop(key, None)
            with self._lock:
                self._values[key] = value
                while len(self._values) > self._most:
                    self._drop(self._values.popitem(last=False)[1])
            return value
