"""Words, tables, pictures and paper made from a plan."""
