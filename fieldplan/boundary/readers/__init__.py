"""A module for each format, each with ``layers(path, name, folder, encoding)``.

Parameters of ``layers``
    path
        The file, recognized and checked by the guard.
    name
        What to call a layer that has no name.
    folder
        An empty folder for copies.
    encoding
        Character set of attribute text, where the format leaves it open; ``None`` to find out.
"""
