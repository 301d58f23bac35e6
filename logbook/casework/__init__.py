"""The case computed from what is held and what was measured: panels, joints, openings, consequences, cut list."""
