"""What is said of whether rules can be met."""
