package threads
