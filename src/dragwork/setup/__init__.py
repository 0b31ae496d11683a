"""What happens before anything is installed: standard library only."""
