"""What the ship does when the helm is put over."""
