"""Every route that a belt can take: the graph of spans, the search, the route solved.

It stands below the checks, since check look-alike uses it.
"""
