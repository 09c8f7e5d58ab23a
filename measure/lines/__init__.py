"""Lines on the plat: how near they come to zones and to each other, where they cross, what hangs together."""
