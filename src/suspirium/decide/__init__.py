"""How anything is decided: candidates, named costs, the optimum, and what decided it."""
