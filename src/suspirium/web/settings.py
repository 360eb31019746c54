"""What the app is started with."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

SCORE_BYTES = 20 * 2**20  # of one request that brings scores
TAKE_BYTES = 200 * 2**20  # of one recording: an hour of mono sound


@dataclass(frozen=True, slots=True)
class WebSettings:
    """Where the app listens and who may come in.

    `address` is what a tablet on the same network asks for, with `code` to be let in; both
    are empty where only this machine may ask; `safe_port` answers by https, 0 if none. `hosts`
    are further names the app answers to. `today` is the clock.
    """

    port: int = 8470
    address: str = ""
    code: str = ""
    hosts: tuple[str, ...] = ()
    today: Callable[[], date] = date.today
    safe_port: int = 0

    @property
    def there(self) -> str:
        """The address that a tablet opens; empty where none may."""
        return f"http://{self.address}:{self.port}/" if self.address else ""

    @property
    def there_safely(self) -> str:
        """The same by https."""
        return f"https://{self.address}:{self.safe_port}/" if self.safe_port else ""

    @property
    def answers_to(self) -> frozenset[str]:
        """The names in a request's Host that are meant for this app."""
        own = {"127.0.0.1", "localhost", "[::1]", *self.hosts, self.address}
        return frozenset(name for name in own if name)
