"""Tables of this room; none yet."""

__all__: list[str] = []
