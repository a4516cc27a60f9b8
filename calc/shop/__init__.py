"""What the saw and the router must know: blanks, fence settings, driver seats, fractions of an inch."""
