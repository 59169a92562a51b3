"""From a figure to a verdict under a guideline named, with its reasons."""
