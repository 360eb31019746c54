"""The organ as a stop list: divisions, stops, couplers, and what they sound like."""

from suspirium.service.organ.model import Coupler, Division, Organ, Stop
from suspirium.service.organ.reader import read_organ

__all__ = ["Coupler", "Division", "Organ", "Stop", "read_organ"]
