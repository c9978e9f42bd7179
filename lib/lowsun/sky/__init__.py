"""Where the observer stands and where the Sun is: the one room that knows Skyfield."""
