"""Files for maps, handhelds and cab terminals."""
