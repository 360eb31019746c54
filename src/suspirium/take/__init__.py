"""Takes: what was really played, matched to the plan and measured against it."""
