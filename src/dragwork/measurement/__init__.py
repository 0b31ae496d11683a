"""From readings to drag areas that carry their uncertainty: sheets, faults, intervals."""
