"""From derived equations to fast numbers: generated source, the stepper, throw and flight."""
