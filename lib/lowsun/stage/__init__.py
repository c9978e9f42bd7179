"""A scene played live, filmed, printed."""
