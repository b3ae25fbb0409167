"""What is measured by hand: how long things take, beside another way of doing the same."""
