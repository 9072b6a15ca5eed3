"""Reference data: the tables in ``fixtures/`` read, judged and joined to frozen rows.

Everything here is pure but ``load``, which writes the rows into the database. Nothing is written, and no row is handed
on, unless every line of every table passes.
"""
