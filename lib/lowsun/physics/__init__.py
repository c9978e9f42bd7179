"""Light and air, with numpy alone."""
