"""What the observer does: camera, evening, frames."""
