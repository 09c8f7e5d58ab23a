"""`tapeplat archive`: what is done with filed attempts."""
