"""What serves learners from one place, once all is installed: JupyterHub and its parts."""
