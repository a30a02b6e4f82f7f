"""What one rim on one wheel does: cases, answers, set-up, ride."""
