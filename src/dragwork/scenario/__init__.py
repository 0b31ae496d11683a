"""The invented Quillhaven Wheelers: riders, roads and sheets. Nothing here is meant to exist."""
