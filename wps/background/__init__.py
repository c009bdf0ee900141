"""Work in the background: a table of tasks, and the process that does them."""
