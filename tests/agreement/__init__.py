"""What two views say about one fact, over the demo book and variants of it."""
