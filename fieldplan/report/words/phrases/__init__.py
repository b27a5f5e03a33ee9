"""What is said of every code: one table, a file for each room of the program that the code comes from."""
