"""Light and air, sea water and the eye: numpy, and a cache folder for tables."""
