"""The routes that a belt can take, studied, ranked and told apart: what the command `routes` asks.

::

    search = find_routes(beltpath.read("layouts/found-hay-tedder.toml"), optional=["fan"])
    for route in search.ranked:
        print(route.route, route.length, *route.reasons)
"""
