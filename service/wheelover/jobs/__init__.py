"""What goes on beside the requests: deliveries to other systems."""
