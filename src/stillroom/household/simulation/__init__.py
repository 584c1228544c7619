"""A season that nobody can be sure of: chance, a household going through its days, and how surely each need is met."""
