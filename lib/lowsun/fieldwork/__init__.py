"""What the observer does: camera and exposures, the skyline, the plan, the frames taken."""
