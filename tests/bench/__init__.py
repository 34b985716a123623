"""The benchmark: `python -m tests.bench` for every part, `python -m tests.bench science` for one."""
