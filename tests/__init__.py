"""The tests, laid out like the program; tests.helpers is what they share, tests.benchmarks are programs to run."""
