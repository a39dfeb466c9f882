"""Benchmarks: ratios against a reference that runs in the same minute on the same machine.

``python -m tests.bench`` runs all and prints a Markdown table, ``python -m tests.bench ring`` some.
They are no tests: pytest does not collect them, and none fails because a machine is slow. A new one
is a function under `registry.benchmark`, in a module that `__main__` imports.
"""
