"""The clerk's office, where the list of requests, the store and the schedule of a season meet."""
