"""One reader a format: the file, already let through by the guard, → layers."""
