"""What the bridge team watches by: fixes, action points, and where the plan can be given up."""
