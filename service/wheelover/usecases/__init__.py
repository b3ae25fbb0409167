"""What users come for, one plain function each."""
