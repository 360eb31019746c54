"""Registration: for each stanza the stops of this organ that suit it."""

from suspirium.service.registration.model import Registration, StanzaRegistration
from suspirium.service.registration.propose import propose_registration

__all__ = ["Registration", "StanzaRegistration", "propose_registration"]
