"""How the program is served: on this machine alone, to the shop's network, or behind a server in front."""
