"""Water under the keel and over the mast: squat, heel, tide, and the two open sums."""
