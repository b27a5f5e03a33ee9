"""Files for programs, spreadsheets and calendars."""
