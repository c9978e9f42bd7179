"""What is seen: read off transfer curves and radiances."""
