"""What the bridge team watches by."""
