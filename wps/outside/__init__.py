"""What goes out of the shop as data, and what comes in from spreadsheets and scans."""
