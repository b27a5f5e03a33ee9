"""The parts of the page, a file each; each builds its elements and redraws them when the desk tells it to."""
