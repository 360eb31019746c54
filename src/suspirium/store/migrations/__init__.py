"""The library's versions, each brought to the next once, in a transaction."""

NEWEST = "0004"
