"""Old name of what `beltpath.data.tables` holds."""

from beltpath.data.tables import cite, limits

__all__ = ["cite", "limits"]
