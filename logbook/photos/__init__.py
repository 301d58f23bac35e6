"""Photos of a unit: originals kept by content, read, matched to steps, shown small."""
