"""An exercise from the author's text to the marked sheet."""
