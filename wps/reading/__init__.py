"""Reading files that others bring: within limits of size, time and memory, in a process of its own."""
