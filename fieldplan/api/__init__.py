"""What ``import fieldplan`` offers to a notebook or a program: paths, GeoDataFrames and mappings in, frames and files out."""
