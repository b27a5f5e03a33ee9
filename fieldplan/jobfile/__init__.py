"""TOML → checked model values, and the commented file to start from."""
