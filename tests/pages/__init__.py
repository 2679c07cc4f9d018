"""Pages of the desk at the size of a small school and of a large one."""
