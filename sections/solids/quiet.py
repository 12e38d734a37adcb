"""Keeping OCC's own chatter off the terminal; what fails is said by us, with a reason."""

from __future__ import annotations

from OCP.Message import Message


def quiet_occ() -> None:
    """Take away the printers of OCC's default messenger, so that it writes nothing of its own."""
    messenger = Message.DefaultMessenger_s()
    for printer in list(messenger.Printers()):
        messenger.RemovePrinter(printer)
