"""How much help a child needs in a skill and role, read from her logged tries."""
